using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class NonlinearFitTests
{
    private static double Decay(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var e = Math.Exp(-b[1] * x[0]);
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (e, -b[0] * x[0] * e);
        }

        return b[0] * e;
    }

    // Two parameters that only ever appear as their product.
    private static double Product(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (b[1] * x[0], b[0] * x[0]);
        }

        return b[0] * b[1] * x[0];
    }

    private static readonly double[] s_x = [0, 1, 2, 3, 4, 5];
    private static readonly double[] s_y = [10.1, 6.0, 3.7, 2.2, 1.4, 0.8];

    [Fact]
    public void A_line_fitted_as_a_nonlinear_model_is_the_linear_fit()
    {
        var set = CertifiedSet.Read("Norris");
        static double Line(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
        {
            if (!g.IsEmpty)
            {
                (g[0], g[1]) = (1, x[0]);
            }

            return b[0] + (b[1] * x[0]);
        }

        var fit = NonlinearFit.Fit(Line, set.X, set.Y, [100, -3]);
        Digits.AtLeast(9.5, fit.Parameters![0].Value, set.Estimates[0]);
        Digits.AtLeast(12, fit.Parameters[1].StandardUncertainty, set.StandardDeviations[1]);
        Digits.AtLeast(
            11,
            fit.Predict(500).StandardUncertainty,
            LineFit.Fit(set.X, set.Y).Predict(500).StandardUncertainty
        );
    }

    [Fact]
    public void Scale_of_the_data_does_not_stop_a_fit_early()
    {
        // A library that stops on an absolute tolerance returns the start for data in nano-units.
        var plain = NonlinearFit.Fit(Decay, s_x, s_y, [8, 0.3]);
        var nano = NonlinearFit.Fit(Decay, s_x, s_y.Select(v => v * 1e-9).ToArray(), [8e-9, 0.3]);
        Digits.AtLeast(11, nano.Parameters![0].Value * 1e9, plain.Parameters![0].Value);
        Digits.AtLeast(11, nano.Parameters[1].StandardUncertainty, plain.Parameters[1].StandardUncertainty);
    }

    [Fact]
    public void A_start_on_a_bound_still_finds_the_minimum_inside()
    {
        var free = NonlinearFit.Fit(Decay, s_x, s_y, [8, 0.3]);
        var bound = NonlinearFit.Fit(
            Decay,
            s_x,
            s_y,
            [20, 0],
            new NonlinearOptions { Lower = [0, 0], Upper = [20, 5] }
        );
        Digits.AtLeast(11, bound.Parameters![1].Value, free.Parameters![1].Value);
        Assert.DoesNotContain(true, bound.HeldByBound);
    }

    [Fact]
    public void A_parameter_pressed_on_a_bound_is_held_and_said()
    {
        var fit = NonlinearFit.Fit(
            Decay,
            s_x,
            s_y,
            [8, 0.2],
            new NonlinearOptions { Upper = [double.PositiveInfinity, 0.3] }
        );
        Assert.True(fit.HeldByBound[1]);
        Assert.Equal(0.3, fit.Values[1]);
        Assert.Equal(0, fit.Parameters![1].StandardUncertainty);
        Assert.Equal(5, fit.ResidualDegrees);

        // With the rate held, the height is the linear fit through e^(−0.3 x).
        var e = s_x.Select(x => Math.Exp(-0.3 * x)).ToArray();
        Digits.AtLeast(11, fit.Values[0], LinearFit.Fit(e, 1, s_y).Coefficients[0].Value);
    }

    [Fact]
    public void Parameters_that_cannot_be_told_apart_get_no_uncertainty()
    {
        var fit = NonlinearFit.Fit(Product, s_x, [0.1, 1.9, 4.2, 5.8, 8.1, 9.9], [1, 1]);
        Assert.Null(fit.Parameters);
        Assert.Contains("tell only 1 of 2 parameters apart", fit.CannotSay, StringComparison.Ordinal);
        Assert.Throws<InvalidOperationException>(() => fit.Predict(2));
    }

    [Fact]
    public void A_model_without_a_number_at_the_start_says_so()
    {
        var fit = NonlinearFit.Fit((_, _, _) => double.NaN, s_x, s_y, [1]);
        Assert.Equal(StopReason.NotFiniteAtStart, fit.Reason);
        Assert.Null(fit.Parameters);
        Assert.Contains("no finite value at the start", fit.CannotSay, StringComparison.Ordinal);
    }

    [Fact]
    public void Too_few_iterations_are_no_solution()
    {
        var fit = NonlinearFit.Fit(
            Decay,
            s_x,
            s_y,
            [1000, 3],
            new NonlinearOptions { IterationLimit = 1, Descents = 1 }
        );
        Assert.False(fit.IsConverged);
        Assert.Null(fit.Parameters);
    }

    [Fact]
    public void Known_variances_scale_the_covariance_and_scatter_ignores_their_scale()
    {
        double[] Weights(double u) => Enumerable.Repeat(1 / (u * u), 6).ToArray();
        NonlinearFit Known(double u) =>
            NonlinearFit.Fit(
                Decay,
                s_x,
                s_y,
                [8, 0.3],
                new NonlinearOptions { Weights = Weights(u), Variances = VarianceBasis.Known }
            );
        Digits.AtLeast(
            11,
            Known(0.2).Parameters![0].StandardUncertainty,
            2 * Known(0.1).Parameters![0].StandardUncertainty
        );
        Assert.Equal(double.PositiveInfinity, Known(0.1).Parameters![0].DegreesOfFreedom);
        var scatter = NonlinearFit.Fit(Decay, s_x, s_y, [8, 0.3], new NonlinearOptions { Weights = Weights(0.1) });
        var plain = NonlinearFit.Fit(Decay, s_x, s_y, [8, 0.3]);
        Digits.AtLeast(11, scatter.Parameters![1].StandardUncertainty, plain.Parameters![1].StandardUncertainty);
    }

    [Fact]
    public void Data_without_an_answer_are_refused_in_words()
    {
        Assert.ThrowsAny<ArgumentException>(() => NonlinearFit.Fit(Decay, [1, 2], [1, 2], [1, 1]));
        Assert.ThrowsAny<ArgumentException>(() => NonlinearFit.Fit(Decay, [1, 2, double.NaN], [1, 2, 3], [1, 1]));
        Assert.ThrowsAny<ArgumentException>(() => NonlinearFit.Fit(Decay, s_x, s_y, [1, double.PositiveInfinity]));
        Assert.ThrowsAny<ArgumentException>(() =>
            NonlinearFit.Fit(Decay, s_x, s_y, [1, 1], new NonlinearOptions { Lower = [0, 2], Upper = [9, 1] })
        );
    }
}
