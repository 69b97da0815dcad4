using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>Coverage probabilities and the factors that turn a standard uncertainty into an expanded one.</summary>
public static class Coverage
{
    /// <summary>Probability of ± 2 standard deviations of a normal, 95.45 %: gives k = 2 at infinite ν.</summary>
    public const double Conventional = 0.954499736103642;

    /// <summary>Coverage factor k from Student t at the degrees of freedom truncated to an integer.</summary>
    /// <param name="probability">Coverage probability, between 0 and 1.</param>
    /// <param name="degreesOfFreedom">Effective degrees of freedom, 1 or more, or infinity.</param>
    /// <returns>k, above zero.</returns>
    /// <exception cref="ArgumentException">Probability out of range, or below one degree of freedom: U cannot be stated.</exception>
    /// <remarks>JCGM 100:2008, G.4.1 (truncate ν_eff to the next lower integer) and table G.2. Worked number: ν_eff = 16.7
    /// is taken as 16, and t at 99 % is 2.92.</remarks>
    public static double Factor(double probability, double degreesOfFreedom)
    {
        Guard.Probability(probability, "Coverage");
        if (!(degreesOfFreedom >= 1))
            throw new ArgumentException(
                $"Coverage: {Figures.Of(degreesOfFreedom, 3)} degrees of freedom; below 1 no expanded uncertainty can be stated. Take more readings.",
                nameof(degreesOfFreedom)
            );
        return StudentT.TwoSided(probability, Truncate(degreesOfFreedom));
    }

    /// <summary>Degrees of freedom as table G.2 is entered: to one decimal, then the next lower integer.</summary>
    /// <remarks>The GUM rounds 18.9987 to 19.0 (G.4.1) and enters the table at 19; 16.75 is entered at 16 (H.1.6).</remarks>
    internal static double Truncate(double degreesOfFreedom) =>
        degreesOfFreedom > 1e9 ? double.PositiveInfinity : Math.Max(1, Math.Floor(Math.Round(degreesOfFreedom, 1)));

    /// <summary>k for a rectangle, p·√3: one rectangular input that dominates the budget.</summary>
    /// <param name="probability">Coverage probability.</param>
    /// <remarks>EA-4/02 M:2022, S9 (from memory): 1.65 at 95 %.</remarks>
    public static double Rectangle(double probability) => Trapezoid(probability, beta: 1);

    /// <summary>k for a symmetrical trapezoid with edge ratio β: two rectangles that dominate the budget.</summary>
    /// <param name="probability">Coverage probability.</param>
    /// <param name="beta">β = |a₁ − a₂|/(a₁ + a₂): 0 a triangle, 1 a rectangle.</param>
    /// <returns>k, above zero.</returns>
    /// <remarks>k = (1 − √((1 − p)(1 − β²)))/√((1 + β²)/6) while p/(2 − p) is above β, p·(1 + β)/2·√6/√(1 + β²) below.
    /// EA-4/02 M:2022, S10 (from memory): β = 0.33 at 95 % gives 1.83.</remarks>
    public static double Trapezoid(double probability, double beta)
    {
        Guard.Probability(probability, "Coverage");
        Guard.Require(beta is >= 0 and <= 1, $"Coverage: the edge ratio of a trapezoid is {beta}; it must be 0 to 1.");
        var sigma = Math.Sqrt((1 + beta * beta) / 6);
        var reach =
            probability / (2 - probability) < beta
                ? probability * (1 + beta) / 2
                : 1 - Math.Sqrt((1 - probability) * (1 - beta * beta));
        return reach / sigma;
    }

    /// <summary>One-sided factor: the value of the standard normal or t that this probability lies above.</summary>
    internal static double UpperFactor(double probability, double degreesOfFreedom) =>
        StudentT.UpperQuantile(probability, degreesOfFreedom);

    /// <summary>Probability that the measurand lies below a limit, by normal or t with scale u &gt; 0.</summary>
    internal static double Below(double limit, Estimate estimate) =>
        Above(-limit, estimate with { Value = -estimate.Value });

    /// <summary>Probability that the measurand lies above a limit; keeps its digits in the far tail.</summary>
    internal static double Above(double limit, Estimate estimate)
    {
        var t = (limit - estimate.Value) / estimate.StandardUncertainty;
        if (double.IsInfinity(t))
            return t > 0 ? 0 : 1;
        return StudentT.UpperTail(t, estimate.DegreesOfFreedom);
    }
}
