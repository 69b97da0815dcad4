using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>Risks of a decision rule over a whole stream of items, before any of them is measured.</summary>
/// <param name="Conforming">Fraction of items that conform.</param>
/// <param name="FalseAccept">Probability that an item is accepted and does not conform (consumer's risk).</param>
/// <param name="FalseReject">Probability that an item is not accepted and conforms (producer's risk).</param>
public readonly record struct GlobalRisk(double Conforming, double FalseAccept, double FalseReject)
{
    // Standard deviations of the population the integral runs over, and Gauss-Legendre panels across them.
    private const double Reach = 9;
    private const int Panels = 400;
    private const int Halvings = 50;

    private static readonly double[] Nodes =
    [
        0.1834346424956498,
        0.5255324099163290,
        0.7966664774136267,
        0.9602898564975363,
    ];
    private static readonly double[] Weights =
    [
        0.3626837833783620,
        0.3137066458778873,
        0.2223810344533745,
        0.1012285362903763,
    ];

    /// <summary>Risks for a normal population measured with a normal uncertainty.</summary>
    /// <param name="population">Mean and standard deviation of the items' true values; the deviation above zero.</param>
    /// <param name="standardUncertainty">u of the measurement, above zero.</param>
    /// <param name="limit">Tolerance limits.</param>
    /// <param name="guardBand">w between tolerance and acceptance limits; negative widens acceptance.</param>
    /// <exception cref="ArgumentException">A number out of its range, or a guard band that leaves nothing to accept.</exception>
    /// <remarks>JCGM 106:2012, 9.5: R_C = ∫ outside g₀(η) P(accept|η) dη, R_P = ∫ inside g₀(η) (1 − P(accept|η)) dη. Worked number
    /// (resistors 1500 Ω ± 0.2 Ω, u₀ 0.12, u 0.04): 1.89 % and 3.72 % without guard band.</remarks>
    public static GlobalRisk Of(Estimate population, double standardUncertainty, ToleranceLimit limit, double guardBand)
    {
        ArgumentNullException.ThrowIfNull(limit);
        Guard.Finite(population.Value, "Global risk", "mean of the items");
        Guard.Positive(population.StandardUncertainty, "Global risk", "standard deviation of the items");
        Guard.Positive(standardUncertainty, "Global risk", "standard uncertainty");
        Guard.Finite(guardBand, "Global risk", "guard band");
        double lower = limit.Lower + guardBand,
            upper = limit.Upper - guardBand;
        Guard.Require(
            lower <= upper,
            $"Global risk: a guard band of {Figures.Of(guardBand, 4)} leaves nothing to accept within {limit}."
        );
        var (mean, s) = (population.Value, population.StandardUncertainty);
        double low = Math.Max(limit.Lower, mean - Reach * s),
            high = Math.Min(limit.Upper, mean + Reach * s);
        var inside = low < high ? Integrate(low, high, Rejected) : 0;
        var below =
            limit.Lower > mean - Reach * s
                ? Integrate(mean - Reach * s, Math.Min(limit.Lower, mean + Reach * s), Accepted)
                : 0;
        var above =
            limit.Upper < mean + Reach * s
                ? Integrate(Math.Max(limit.Upper, mean - Reach * s), mean + Reach * s, Accepted)
                : 0;
        return new(Conformity.ProbabilityInside(population, limit), below + above, inside);

        double Density(double x) => Normal.Density((x - mean) / s) / s;
        double Accept(double x) => Tail((lower - x) / standardUncertainty) - Tail((upper - x) / standardUncertainty);
        double Accepted(double x) => Density(x) * Accept(x);
        double Rejected(double x) =>
            Density(x) * (Tail((upper - x) / standardUncertainty) + Tail((x - lower) / standardUncertainty));
    }

    /// <summary>Smallest guard band at which at most this part of all items is accepted though it does not conform.</summary>
    /// <param name="population">Mean and standard deviation of the items' true values; the deviation above zero.</param>
    /// <param name="standardUncertainty">u of the measurement, above zero.</param>
    /// <param name="limit">Tolerance limits.</param>
    /// <param name="largestFalseAccept">Largest consumer's risk, above 0 and below 0.5; 0.02 is that of ANSI/NCSL Z540.3, 5.3 b.</param>
    /// <returns>w, zero or more: zero where simple acceptance already keeps the risk.</returns>
    /// <exception cref="ArgumentException">A number out of its range.</exception>
    /// <remarks>JCGM 106:2012, 9.5.3, turned round by halving: the risk falls as the guard band grows. Worked number (resistors
    /// 1500 Ω ± 0.2 Ω, u₀ 0.12, u 0.04): 0.047 % needs w = 0.08 Ω, 2 % needs none.</remarks>
    public static double GuardBandFor(
        Estimate population,
        double standardUncertainty,
        ToleranceLimit limit,
        double largestFalseAccept
    )
    {
        Guard.Require(
            largestFalseAccept is > 0 and < 0.5,
            $"Global risk: a consumer's risk of {largestFalseAccept} was asked for; it must be above 0 and below 0.5."
        );
        if (Risk(0) <= largestFalseAccept)
            return 0;
        double least = 0,
            most = limit.IsTwoSided ? limit.Width / 2 : standardUncertainty;
        while (!limit.IsTwoSided && Risk(most) > largestFalseAccept)
            most *= 2;
        for (var i = 0; i < Halvings; i++)
        {
            var middle = (least + most) / 2;
            if (Risk(middle) > largestFalseAccept)
                least = middle;
            else
                most = middle;
        }
        return most;

        double Risk(double w) => Of(population, standardUncertainty, limit, w).FalseAccept;
    }

    private static double Tail(double z) => double.IsInfinity(z) ? (z > 0 ? 0 : 1) : Normal.UpperTail(z);

    private static double Integrate(double from, double to, Func<double, double> f)
    {
        double sum = 0,
            half = (to - from) / Panels / 2;
        for (var panel = 0; panel < Panels; panel++)
        {
            var middle = from + (2 * panel + 1) * half;
            for (var i = 0; i < Nodes.Length; i++)
                sum += Weights[i] * (f(middle - half * Nodes[i]) + f(middle + half * Nodes[i]));
        }
        return sum * half;
    }
}
