namespace LoadTest.Analysis.Uncertainty;

/// <summary>A measurand as a function of its inputs, in the order they are given.</summary>
/// <param name="inputs">Values of the inputs.</param>
/// <returns>Value of the measurand; finite wherever the inputs may lie.</returns>
public delegate double ModelFunction(ReadOnlySpan<double> inputs);

/// <summary>A measurement model: a function, its inputs, and their correlations.</summary>
/// <remarks>JCGM 100:2008, 4.1 and 5.1; JCGM 101:2008 for the Monte Carlo beside it.</remarks>
public sealed class MeasurementModel
{
    private readonly ModelFunction _function;
    private readonly double[] _values;

    /// <summary>A model.</summary>
    /// <param name="measurand">What is measured.</param>
    /// <param name="unit">Its unit.</param>
    /// <param name="function">The function; pure, and finite around the inputs.</param>
    /// <param name="inputs">Inputs in the order the function takes them; their own sensitivities are not used.</param>
    /// <param name="correlations">Correlations between inputs; none when null.</param>
    /// <exception cref="ArgumentException">An unknown or ambiguous name in a correlation, contradicting correlations, or a value that is not finite.</exception>
    public MeasurementModel(
        string measurand,
        string unit,
        ModelFunction function,
        IReadOnlyList<UncertaintyInput> inputs,
        IReadOnlyList<Correlation>? correlations = null
    )
    {
        ArgumentNullException.ThrowIfNull(function);
        ArgumentNullException.ThrowIfNull(inputs);
        Measurand = measurand;
        Unit = unit;
        _function = function;
        Inputs = inputs;
        Correlations = correlations ?? [];
        _values = [.. inputs.Select(i => i.Value)];
        Matrix = CorrelationMatrix.Of(measurand, inputs, Correlations);
        Value = At(_values);
    }

    /// <summary>What is measured.</summary>
    public string Measurand { get; }

    /// <summary>Unit of the measurand.</summary>
    public string Unit { get; }

    /// <summary>Inputs in the order the function takes them.</summary>
    public IReadOnlyList<UncertaintyInput> Inputs { get; }

    /// <summary>Correlations between inputs.</summary>
    public IReadOnlyList<Correlation> Correlations { get; }

    /// <summary>The function at the inputs' best estimates.</summary>
    public double Value { get; }

    internal CorrelationMatrix Matrix { get; }

    internal ModelFunction Function => _function;

    /// <summary>First-order budget with sensitivities from the function itself.</summary>
    /// <param name="coverageProbability">Coverage probability of U.</param>
    /// <remarks>JCGM 100:2008, 5.1.2 to 5.2.2; sensitivities by <see cref="Derivatives.First"/>. Worked number: GUM H.2,
    /// R = V/I · cos φ from five sets of readings is 127.732 Ω with u = 0.071 Ω.</remarks>
    public Budget Budget(double coverageProbability = Coverage.Conventional) =>
        Uncertainty.Budget.Build(Measurand, Unit, Value, Inputs, Sensitivities(), Correlations, coverageProbability);

    /// <summary>Combined standard uncertainty with the second-order terms of a Taylor series, for normal inputs.</summary>
    /// <returns>u, in the unit of the measurand.</returns>
    /// <remarks>
    /// u² + Σ Σ [½ f_ij² + f_i f_ijj] u_i² u_j², JCGM 100:2008, note to 5.1.2, given there for independent inputs. Correlated ones
    /// are first written as sums of independent ones (x = x̄ + u·L z with L L' the correlation matrix), which is exact for inputs that
    /// are jointly normal. Worked numbers: the end gauge of GUM H.1 goes from 32 nm to 34 nm; a product of two inputs of mean
    /// 0, u = 1 and r = 0.5 has variance 1 + r² = 1.25 (Isserlis 1918).
    /// </remarks>
    public double SecondOrderUncertainty()
    {
        var u = Inputs.Select(i => i.StandardUncertainty).ToArray();
        if (!Correlations.Any(c => c.Coefficient != 0))
            return SecondOrder(At, _values, u, Sensitivities());
        var factor = Matrix.Cholesky(Measurand);
        var n = u.Length;
        double[] origin = new double[n],
            one = new double[n],
            first = new double[n];
        Array.Fill(one, 1);
        for (var i = 0; i < n; i++)
            first[i] = Derivatives.First(Independent, origin, i, 1);
        return SecondOrder(Independent, origin, one, first);

        double Independent(ReadOnlySpan<double> z)
        {
            var x = (double[])_values.Clone();
            for (var i = 0; i < n; i++)
            {
                for (var j = 0; j <= i; j++)
                    x[i] += u[i] * factor[i, j] * z[j];
            }
            return At(x);
        }
    }

    private static double SecondOrder(ModelFunction model, double[] at, double[] u, double[] first)
    {
        var variance = 0.0;
        for (var i = 0; i < u.Length; i++)
        {
            variance += Math.Pow(first[i] * u[i], 2);
            for (var j = 0; j < u.Length; j++)
            {
                if (u[i] == 0 || u[j] == 0)
                    continue;
                var (second, third) = Derivatives.Scaled(model, at, u, i, j);
                variance += 0.5 * second * second + first[i] * u[i] * third;
            }
        }
        return Math.Sqrt(Math.Max(0, variance));
    }

    /// <summary>Monte Carlo propagation; see <see cref="MonteCarlo"/>.</summary>
    /// <param name="seed">Seed; the same seed gives the same answer.</param>
    /// <param name="options">Trials, coverage probability, digits; the defaults when null.</param>
    public MonteCarloResult Propagate(ulong seed, MonteCarloOptions? options = null) =>
        MonteCarlo.Run(this, seed, options ?? new());

    internal double At(ReadOnlySpan<double> inputs)
    {
        var y = _function(inputs);
        return double.IsFinite(y)
            ? y
            : throw new ArgumentException(
                $"{Measurand}: the model gives {y} near its inputs. Check the inputs' values and uncertainties.",
                nameof(inputs)
            );
    }

    private double[] Sensitivities()
    {
        var first = new double[_values.Length];
        for (var i = 0; i < first.Length; i++)
            first[i] = Derivatives.First(At, _values, i, Inputs[i].StandardUncertainty);
        return first;
    }
}
