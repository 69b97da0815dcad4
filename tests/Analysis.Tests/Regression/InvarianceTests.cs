using CsCheck;
using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>No fit knows in which order, in which units or from which origin its points were written down.</summary>
public sealed class InvarianceTests
{
    private const string Seed = "0000KMvBpnk3";

    // Each gives heights at three abscissae and, where it has one, the uncertainty of the height there; both in the unit of y.
    private static readonly Dictionary<string, Func<double[], double[], double[], double[]>> s_fits = new(
        StringComparer.Ordinal
    )
    {
        ["line"] = (x, y, at) => Both(LineFit.Fit(x, y).Predict, at),
        ["parabola"] = (x, y, at) => Both(PolynomialFit.Fit(x, y, 2).Predict, at),
        ["constant ratio"] = (x, y, at) => Both(DemingFit.Fit(x, y, Math.Pow(Span(y) / Span(x), 2)).Predict, at),
        ["both axes"] = (x, y, at) =>
            Both(
                YorkFit
                    .Fit(
                        x,
                        [.. x.Select((_, k) => Span(x) * (0.01 + (0.001 * Math.Round(5 * Share(y, k)))))],
                        y,
                        [.. y.Select((_, k) => Span(y) * (0.02 + (0.001 * Math.Round(5 * Share(y, k)))))],
                        []
                    )
                    .Predict,
                at
            ),
        ["median of slopes"] = (x, y, at) =>
        {
            var fit = TheilSenFit.Fit(x, y);
            return [.. at.Select(a => fit.Intercept + (fit.Slope * a))];
        },
        ["Huber"] = (x, y, at) => Robust(x, y, at, RobustLoss.Huber),
        ["bisquare"] = (x, y, at) => Robust(x, y, at, RobustLoss.Bisquare),
    };

    private static readonly Gen<(double[] X, double[] Y)> s_points = Gen.Select(
        Gen.Int[7, 14],
        Gen.Int[1, 1_000_000],
        (count, seed) =>
        {
            var random = new Random(seed);
            double[] x = [.. Enumerable.Range(0, count).Select(k => k + (0.3 * random.NextDouble()))];
            double[] y = [.. x.Select(v => 3 + (0.7 * v) + (0.2 * (random.NextDouble() - 0.5)))];
            return (x, y);
        }
    );

    public static TheoryData<string> Fits => [.. s_fits.Keys];

    [Theory]
    [MemberData(nameof(Fits))]
    public void Order_of_the_points_does_not_matter(string name) =>
        Hold(
            name,
            (x, y, at) =>
            {
                int[] order =
                [
                    .. Enumerable.Range(0, x.Length).OrderBy(k => k * 7 % x.Length).ThenByDescending(k => k),
                ];
                return s_fits[name]([.. order.Select(k => x[k])], [.. order.Select(k => y[k])], at);
            }
        );

    [Theory]
    [MemberData(nameof(Fits))]
    public void Units_do_not_matter(string name) =>
        // Amperes as milliamperes, volts as kilovolts.
        Hold(name, (x, y, at) => Times(1000, s_fits[name](Times(1000, x), Times(1e-3, y), Times(1000, at))));

    [Theory]
    [MemberData(nameof(Fits))]
    public void Origin_does_not_matter(string name) =>
        Hold(name, (x, y, at) => s_fits[name](Moved(250, x), y, Moved(250, at)));

    [Fact]
    public void Units_and_order_do_not_matter_to_a_nonlinear_fit() =>
        Gen.Select(Gen.Double[1, 50], Gen.Double[0.1, 1.5], Gen.Int[1, 1_000_000])
            .Sample(
                (height, rate, seed) =>
                {
                    var random = new Random(seed);
                    double[] x = [.. Enumerable.Range(0, 10).Select(k => 0.5 * k)];
                    double[] y =
                    [
                        .. x.Select(v => height * (Math.Exp(-rate * v) + (0.02 * (random.NextDouble() - 0.5)))),
                    ];
                    var plain = NonlinearFit.Fit(Decay, x, y, [height / 2, rate * 1.5]).Parameters!;
                    var other = NonlinearFit
                        .Fit(
                            Decay,
                            Times(1e-6, [.. x.Reverse()]),
                            Times(1e9, [.. y.Reverse()]),
                            [height / 2 * 1e9, rate * 1.5 * 1e6]
                        )
                        .Parameters!;
                    Near(plain[0].Value, other[0].Value / 1e9);
                    Near(plain[1].Value, other[1].Value / 1e6);
                    Near(plain[0].StandardUncertainty, other[0].StandardUncertainty / 1e9);
                    Near(plain[1].StandardUncertainty, other[1].StandardUncertainty / 1e6);
                },
                seed: Seed,
                iter: 200,
                threads: 1
            );

    [Fact]
    public void Order_and_units_of_its_inputs_do_not_matter_to_a_budget() =>
        Gen.Select(Gen.Double[0.1, 5], Gen.Double[-3, 3], Gen.Double[1, 50])
            .Array[2, 8]
            .Sample(
                lines =>
                {
                    UncertaintyInput Line(int k, double unit) =>
                        UncertaintyInput
                            .FromStandard($"{k}", 0, lines[k].Item1 * unit, lines[k].Item3)
                            .With(lines[k].Item2 / unit);
                    int[] all = [.. Enumerable.Range(0, lines.Length)];
                    Correlation[] together = [new("0", "1", 0.4)];
                    var plain = Budget.Linear("y", "V", 1, [.. all.Select(k => Line(k, 1))], together).Combined;
                    var other = Budget
                        .Linear("y", "V", 1, [.. all.Reverse().Select(k => Line(k, k % 2 == 0 ? 1000 : 1))], together)
                        .Combined;
                    Near(plain.StandardUncertainty, other.StandardUncertainty);
                    Near(plain.DegreesOfFreedom, other.DegreesOfFreedom);
                },
                seed: Seed,
                iter: 500,
                threads: 1
            );

    // The robust fits may say that no one line stands out; where both say one, it is the same, and nearly always both do.
    private static void Hold(string name, Func<double[], double[], double[], double[]> otherwise)
    {
        const int Sets = 200;
        var unsaid = 0;
        s_points.Sample(
            points =>
            {
                double[] at = [-2, points.X[^1] / 3, points.X[^1] + 4];
                if (
                    Said(() => s_fits[name](points.X, points.Y, at)) is not { } plain
                    || Said(() => otherwise(points.X, points.Y, at)) is not { } other
                )
                {
                    unsaid++;
                    return;
                }

                for (var k = 0; k < plain.Length; k++)
                {
                    Near(plain[k], other[k]);
                }
            },
            seed: Seed,
            iter: Sets,
            threads: 1
        );
        Assert.InRange(unsaid, 0, name is "Huber" or "bisquare" ? Sets / 50 : 0);
    }

    private static double[]? Said(Func<double[]> fit)
    {
        try
        {
            return fit();
        }
        catch (ArithmeticException e) when (e.Message.Contains("more than one line", StringComparison.Ordinal))
        {
            return null;
        }
    }

    private static void Near(double expected, double found) =>
        Assert.True(
            found == expected || Math.Abs(found - expected) <= 1e-8 * Math.Max(1e-3, Math.Abs(expected)),
            $"{expected:R} became {found:R}"
        );

    private static double[] Both(Func<double, Analysis.Estimate> predict, double[] at) =>
        [.. at.Select(a => predict(a).Value), .. at.Select(a => predict(a).StandardUncertainty)];

    private static double[] Robust(double[] x, double[] y, double[] at, RobustLoss loss)
    {
        var fit = RobustFit.Line(x, y, loss);
        return [.. at.Select(a => fit.Coefficients[0].Value + (fit.Coefficients[1].Value * a))];
    }

    private static double Decay(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> gradient)
    {
        var e = Math.Exp(-b[1] * x[0]);
        if (!gradient.IsEmpty)
        {
            (gradient[0], gradient[1]) = (e, -b[0] * x[0] * e);
        }

        return b[0] * e;
    }

    private static double Span(double[] values) => values.Max() - values.Min();

    // Where a point stands among the others, the same in any order, unit and origin.
    private static double Share(double[] values, int k) => (values[k] - values.Min()) / Span(values);

    private static double[] Times(double factor, double[] values) => Array.ConvertAll(values, v => factor * v);

    private static double[] Moved(double by, double[] values) => Array.ConvertAll(values, v => v + by);
}
