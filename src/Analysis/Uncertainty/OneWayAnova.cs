using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>One-way analysis of variance: what reconnecting, or another day, adds to the scatter within one connection.</summary>
/// <remarks>
/// JCGM 100:2008, H.5, for groups of any size; sums in about 31 digits. Worked number (H.5, 10 days of 5 readings, from memory):
/// between days s_a = 128 µV, within s_b = 85 µV, F = 2.26 (9, 40), component s_B = 43 µV, mean 10.000 097 V with u = 18 µV.
/// </remarks>
public sealed class OneWayAnova
{
    /// <summary>Chance of so large an F below which the groups are said to differ.</summary>
    public const double Significance = 0.05;

    private readonly double _meanSquareSize;

    private OneWayAnova(int groups, double count, double squaredCounts, double mean, double between, double within)
    {
        Groups = groups;
        Count = count;
        GrandMean = mean;
        Between = new(between, groups - 1);
        Within = new(within, count - groups);
        // Readings in a group of average weight: K when all groups have K readings (Satterthwaite 1946, unequal groups).
        _meanSquareSize = (count - squaredCounts / count) / (groups - 1);
    }

    /// <summary>Number of groups: connections, days.</summary>
    public int Groups { get; }

    /// <summary>Number of readings in all groups together.</summary>
    public double Count { get; }

    /// <summary>Mean of all readings.</summary>
    public double GrandMean { get; }

    /// <summary>Scatter of the group means.</summary>
    public VarianceSource Between { get; }

    /// <summary>Scatter within the groups.</summary>
    public VarianceSource Within { get; }

    /// <summary>Mean square between over mean square within; infinite when nothing scatters within the groups.</summary>
    public double F =>
        Within.SumOfSquares > 0 ? Between.MeanSquare / Within.MeanSquare
        : Between.SumOfSquares > 0 ? double.PositiveInfinity
        : 0;

    /// <summary>Chance of so large an F when the groups do not differ.</summary>
    public double Chance => FisherF.UpperTail(F, Between.Degrees, Within.Degrees);

    /// <summary>Whether the groups differ by more than their own scatter explains, at 5 %.</summary>
    public bool GroupsDiffer => Chance < Significance;

    /// <summary>Share of the sum of squares that lies between the groups, 0 to 1; 0 when nothing scatters.</summary>
    public double RSquared =>
        Between.SumOfSquares + Within.SumOfSquares is > 0 and var total ? Between.SumOfSquares / total : 0;

    /// <summary>Standard deviation of readings within a group.</summary>
    public double WithinDeviation => Math.Sqrt(Within.MeanSquare);

    /// <summary>Standard deviation s_B the groups themselves have beyond the scatter of their readings; 0 when F is 1 or less.</summary>
    /// <remarks>s_B² = (s_a² − s_b²)/K, JCGM 100:2008, H.5.2.4. Worked number: (128² − 85²)/5 is 43² (H.5).</remarks>
    public double BetweenDeviation => Math.Sqrt(Math.Max(0, Between.MeanSquare - Within.MeanSquare) / _meanSquareSize);

    /// <summary>Mean of all groups with the uncertainty of groups that may differ: s_a²/(J K) with J − 1 degrees of freedom.</summary>
    /// <remarks>JCGM 100:2008, H.5.3.1 (random effects); on the safe side when they do not. Exact for groups of one size.</remarks>
    public Estimate Mean => new(GrandMean, Math.Sqrt(Between.MeanSquare / Count), Between.Degrees);

    /// <summary>Mean of all readings taken as one set: what may be used when the groups do not differ.</summary>
    /// <remarks>[(J − 1)s_a² + J(K − 1)s_b²]/[J K (J K − 1)] with J K − 1 degrees of freedom, JCGM 100:2008, H.5.2.4.</remarks>
    public Estimate PooledMean =>
        new(GrandMean, Math.Sqrt((Between.SumOfSquares + Within.SumOfSquares) / (Count * (Count - 1))), Count - 1);

    /// <summary>Analyse readings taken in groups.</summary>
    /// <param name="groups">Readings of each group, finite, one or more each; two groups or more, and more readings than groups.</param>
    /// <exception cref="ArgumentException">Too few groups or readings, or one that is not finite.</exception>
    public static OneWayAnova Of(IReadOnlyList<double[]> groups)
    {
        ArgumentNullException.ThrowIfNull(groups);
        var (count, squared, sum) = (0, 0.0, DoubleDouble.Zero);
        for (var g = 0; g < groups.Count; g++)
        {
            Given.Values($"Analysis of variance, group {g + 1}", groups[g], 1);
            count += groups[g].Length;
            squared += (double)groups[g].Length * groups[g].Length;
            foreach (var value in groups[g])
                sum += value;
        }
        Check(groups.Count, count);
        var grand = sum / count;
        var (between, within) = (DoubleDouble.Zero, DoubleDouble.Zero);
        foreach (var group in groups)
        {
            var mean = SampleMoments.MeanOf(group);
            var away = mean - grand;
            between += away * away * group.Length;
            foreach (var value in group)
            {
                var rest = value - mean;
                within += rest * rest;
            }
        }
        return new(groups.Count, count, squared, (double)grand, (double)between, (double)within);
    }

    /// <summary>Analyse groups of which only mean and standard deviation were kept, all of one size.</summary>
    /// <param name="means">Mean of each group, two or more.</param>
    /// <param name="deviations">Standard deviation s (n − 1) of each group, zero or more.</param>
    /// <param name="readingsEach">Readings in each group, two or more.</param>
    /// <exception cref="ArgumentException">Too few groups or readings, or a number out of its range.</exception>
    public static OneWayAnova OfSummaries(ReadOnlySpan<double> means, ReadOnlySpan<double> deviations, int readingsEach)
    {
        Given.Values("Analysis of variance, means", means, 2);
        Given.SameLength("Analysis of variance, deviations", deviations.Length, means.Length);
        foreach (var s in deviations)
            Given.NotNegative("Analysis of variance, deviation", s, "");
        Guard.Require(
            readingsEach >= 2,
            $"Analysis of variance: {readingsEach} readings in each group; 2 or more are needed to see their scatter."
        );
        var grand = SampleMoments.MeanOf(means);
        var (between, within) = (DoubleDouble.Zero, DoubleDouble.Zero);
        for (var g = 0; g < means.Length; g++)
        {
            var away = means[g] - grand;
            between += away * away * readingsEach;
            within += (DoubleDouble)deviations[g] * deviations[g] * (readingsEach - 1);
        }
        var count = (double)means.Length * readingsEach;
        return new(means.Length, count, count * readingsEach, (double)grand, (double)between, (double)within);
    }

    /// <summary>Budget line for one more connection: the component between groups, with its degrees of freedom.</summary>
    /// <param name="name">Line of the budget, such as "reconnection".</param>
    /// <returns>u = s_B of a single connection; null when the groups do not differ: repeatability then holds all of it.</returns>
    /// <remarks>ν = s_B⁴/[(s_a²/K)²/(J − 1) + (s_b²/K)²/(J (K − 1))], Satterthwaite 1946 (from memory). Worked number: H.5 gives
    /// s_B = 43 µV with ν = 2.7, so that few days cannot say it well.</remarks>
    public UncertaintyInput? ToInput(string name)
    {
        if (!GroupsDiffer)
            return null;
        double a = Between.MeanSquare / _meanSquareSize,
            b = Within.MeanSquare / _meanSquareSize;
        var nu = (a - b) * (a - b) / (a * a / Between.Degrees + b * b / Within.Degrees);
        return UncertaintyInput.FromScatter(name, new Estimate(0, BetweenDeviation, nu));
    }

    /// <summary>The finding in a sentence.</summary>
    /// <param name="unit">Unit of the readings.</param>
    /// <param name="group">What a group is, such as "connection" or "day".</param>
    public string Describe(string unit, string group) =>
        GroupsDiffer
            ? $"The {Groups} {group}s differ (F = {Figures.Of(F, 3)}, chance {Figures.Chance(Chance)}): each adds a standard deviation of {Figures.Of(BetweenDeviation)} {unit} to {Figures.Of(WithinDeviation)} {unit} within one."
            : $"The {Groups} {group}s do not differ by more than the readings scatter (F = {Figures.Of(F, 3)}, chance {Figures.Chance(Chance)}): {Figures.Of(WithinDeviation)} {unit} within one.";

    private static void Check(int groups, int count)
    {
        Guard.Require(groups >= 2, $"Analysis of variance: {groups} groups were given; 2 or more are needed.");
        Guard.Require(
            count > groups,
            $"Analysis of variance: {count} readings in {groups} groups; some group needs more than one to see its scatter."
        );
    }
}
