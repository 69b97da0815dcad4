namespace LoadTest.Analysis.Uncertainty;

/// <summary>An uncertainty budget: named inputs, their contributions, and the combined and expanded uncertainty.</summary>
/// <remarks>
/// JCGM 100:2008: u² = Σ (c·u)² + 2 Σ c_i c_j u_i u_j r_ij (5.1.2 and 5.2.2), ν_eff by Welch–Satterthwaite (G.4.1), U = k·u with
/// k from t at ν_eff truncated. Worked number: 0.25 %, 0.57 % and 0.82 % with 9, 4 and 14 degrees of freedom give
/// u = 1.03 %, ν_eff = 18.9987, which rounds to 19.0 and is entered at 19, GUM G.4.1.
/// </remarks>
public sealed class Budget
{
    private Budget(
        string measurand,
        string unit,
        Estimate combined,
        IReadOnlyList<BudgetLine> lines,
        IReadOnlyList<Correlation> correlations,
        double coverageProbability
    )
    {
        Measurand = measurand;
        Unit = unit;
        Combined = combined;
        Lines = lines;
        Correlations = correlations;
        CoverageProbability = coverageProbability;
    }

    /// <summary>What is measured.</summary>
    public string Measurand { get; }

    /// <summary>Unit of the result and of every contribution.</summary>
    public string Unit { get; }

    /// <summary>Result, combined standard uncertainty and effective degrees of freedom.</summary>
    public Estimate Combined { get; }

    /// <summary>The lines in the order of the inputs.</summary>
    public IReadOnlyList<BudgetLine> Lines { get; }

    /// <summary>Correlations taken into account.</summary>
    public IReadOnlyList<Correlation> Correlations { get; }

    /// <summary>Coverage probability of <see cref="Expanded"/>.</summary>
    public double CoverageProbability { get; }

    /// <summary>What the coverage factor follows from: a rectangle that dominates the budget, or Student's t.</summary>
    public Dominance? Dominance => Uncertainty.Dominance.Of(this);

    /// <summary>Coverage factor k at <see cref="CoverageProbability"/>: of Student's t at the effective degrees of freedom, or of the
    /// rectangles that dominate.</summary>
    /// <exception cref="ArgumentException">Fewer than one effective degree of freedom: U cannot be stated.</exception>
    public double CoverageFactor
    {
        get
        {
            var k = Coverage.Factor(CoverageProbability, Combined.DegreesOfFreedom);
            return Dominance is { } dominance
                ? k
                    * dominance.Factor(CoverageProbability)
                    / Coverage.Factor(CoverageProbability, double.PositiveInfinity)
                : k;
        }
    }

    /// <summary>Expanded uncertainty U = k·u, in the unit of the result.</summary>
    public double Expanded => CoverageFactor * Combined.StandardUncertainty;

    /// <summary>Budget of a result that is linear in its inputs, with the sensitivities the inputs carry.</summary>
    /// <param name="measurand">What is measured.</param>
    /// <param name="unit">Unit of the result.</param>
    /// <param name="value">The result.</param>
    /// <param name="inputs">At least one input; those with the same component and the same source of their error move together.</param>
    /// <param name="correlations">Correlations between inputs; none when null.</param>
    /// <param name="coverageProbability">Coverage probability of U; 95.45 % makes k = 2 at infinite ν.</param>
    /// <exception cref="ArgumentException">A number out of range, an unknown or ambiguous name in a correlation, or correlations that cannot be.</exception>
    public static Budget Linear(
        string measurand,
        string unit,
        double value,
        IReadOnlyList<UncertaintyInput> inputs,
        IReadOnlyList<Correlation>? correlations = null,
        double coverageProbability = Coverage.Conventional
    )
    {
        ArgumentNullException.ThrowIfNull(inputs);
        var sensitivities = new double[inputs.Count];
        for (var i = 0; i < sensitivities.Length; i++)
            sensitivities[i] = inputs[i].Sensitivity;
        return Build(measurand, unit, value, inputs, sensitivities, correlations ?? [], coverageProbability);
    }

    internal static Budget Build(
        string measurand,
        string unit,
        double value,
        IReadOnlyList<UncertaintyInput> inputs,
        double[] sensitivities,
        IReadOnlyList<Correlation> correlations,
        double coverageProbability
    )
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(measurand);
        Guard.Finite(value, measurand, "value");
        Guard.Probability(coverageProbability, measurand);
        var matrix = CorrelationMatrix.Of(measurand, inputs, correlations);
        var signed = new double[inputs.Count];
        for (var i = 0; i < signed.Length; i++)
            signed[i] = sensitivities[i] * inputs[i].StandardUncertainty;
        var variance = matrix.Quadratic(signed);
        var lines = new BudgetLine[signed.Length];
        for (var i = 0; i < lines.Length; i++)
        {
            var share = variance > 0 ? signed[i] * signed[i] / variance : 0;
            lines[i] = new(inputs[i], sensitivities[i], Math.Abs(signed[i]), share);
        }
        var nu = WelchSatterthwaite.Effective(inputs, signed, matrix);
        var combined = new Estimate(value, Math.Sqrt(variance), nu);
        return new(measurand, unit, combined, lines, correlations, coverageProbability);
    }
}
