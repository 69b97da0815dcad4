using System.Globalization;
using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

public sealed class OneWayAnovaTests
{
    // JCGM 100:2008, table H.9, from memory: offsets of the daily means from 10 V and their standard deviations, µV.
    private static readonly double[] Days = [172, 116, 13, 144, 106, 31, 60, 125, 163, 41];
    private static readonly double[] Scatter = [60, 77, 111, 101, 67, 93, 80, 73, 88, 86];

    // NIST StRD, analysis of variance (published). Where leading digits eat the data's own, what is left is all a double holds:
    // 1000000000000.4 is off by up to 6 × 10⁻⁵ in a scatter of 0.1.
    [Theory]
    [InlineData("SiRstvt", "", 13, 13)]
    [InlineData("AtmWtAgt", "", 9.9, 10.5)]
    [InlineData("SmLs01t", "", 14.3, 14.3)]
    [InlineData("SmLs02t", "", 14.3, 14.3)]
    [InlineData("SmLs03t", "", 14.3, 14.3)]
    [InlineData("SmLs01t", "1000000", 9.8, 10)]
    [InlineData("SmLs02t", "1000000", 9.8, 10)]
    [InlineData("SmLs03t", "1000000", 9.8, 10)]
    [InlineData("SmLs01t", "1000000000000", 3.7, 4)]
    [InlineData("SmLs02t", "1000000000000", 3.7, 4)]
    [InlineData("SmLs03t", "1000000000000", 3.7, 4)]
    public void Variance_splits_as_NIST_certifies(string name, string leading, double digits, double within)
    {
        var set = Read(name, leading);

        var found = OneWayAnova.Of(set.Groups);

        Assert.Equal(set.BetweenDegrees, found.Between.Degrees);
        Assert.Equal(set.WithinDegrees, found.Within.Degrees);
        Digits.AtLeast(digits, found.Between.SumOfSquares, set.Between, "between");
        Digits.AtLeast(within, found.Within.SumOfSquares, set.Within, "within");
        Digits.AtLeast(digits, found.F, set.F, "F");
        Digits.AtLeast(digits, found.RSquared, set.RSquared, "R²");
        Digits.AtLeast(within, found.WithinDeviation, set.Residual, "residual standard deviation");
    }

    [Fact]
    public void Daily_calibrations_of_GUM_H5_reach_their_printed_figures()
    {
        var found = OneWayAnova.OfSummaries(Days, Scatter, 5);

        // Printed: 10.000 097 V, 128 µV, 85 µV, 43 µV, u = 18 µV with 9 degrees of freedom; F 2.25 from the rounded values.
        Assert.Equal(97.1, found.GrandMean, 1e-9);
        Assert.Equal(128, Math.Sqrt(found.Between.MeanSquare), 0.5);
        Assert.Equal(85, found.WithinDeviation, 0.5);
        Assert.Equal(43, found.BetweenDeviation, 0.5);
        Assert.Equal(18, found.Mean.StandardUncertainty, 0.5);
        Assert.Equal(9, found.Mean.DegreesOfFreedom);
        // Worked out in exact arithmetic from the table.
        Assert.Equal(2.261519, found.F, 1e-6);
        Assert.Equal(42.6386, found.BetweenDeviation, 1e-4);
        Assert.Equal(18.0533, found.Mean.StandardUncertainty, 1e-4);
    }

    [Fact]
    public void Days_of_GUM_H5_differ_at_five_percent_and_not_at_two_and_a_half()
    {
        var found = OneWayAnova.OfSummaries(Days, Scatter, 5);

        Assert.True(found.GroupsDiffer);
        Assert.InRange(found.Chance, 0.025, 0.05);
        Assert.True(found.F > FisherF.Quantile(0.95, 9, 40) && found.F < FisherF.Quantile(0.975, 9, 40));
    }

    [Fact]
    public void The_component_between_days_of_GUM_H5_is_known_to_few_degrees_of_freedom()
    {
        // Satterthwaite 1946 from memory; (a − b)²/(a²/9 + b²/40) with a = 16296.06/5 and b = 7205.8/5 by hand.
        var line = OneWayAnova.OfSummaries(Days, Scatter, 5).ToInput("another day");
        Assert.Equal(2.68245, line!.DegreesOfFreedom, 1e-3);
        Assert.Equal(42.6386, line.StandardUncertainty, 1e-4);
    }

    [Fact]
    public void Chance_of_the_silicon_wafers_F_agrees_with_a_reference_library()
    {
        // scipy.stats.f.sf(1.18046237440255, 4, 20), scipy 1.10.1.
        Assert.Equal(0.34944749340219244, OneWayAnova.Of(Read("SiRstvt", "").Groups).Chance, 1e-12);
    }

    [Fact]
    public void A_mean_of_all_readings_as_one_set_is_the_smaller_uncertainty_of_GUM_H5()
    {
        // JCGM 100:2008, H.5.2.4, from memory: 13 µV with 49 degrees of freedom.
        var pooled = OneWayAnova.OfSummaries(Days, Scatter, 5).PooledMean;

        Assert.Equal(13, pooled.StandardUncertainty, 0.5);
        Assert.Equal(49, pooled.DegreesOfFreedom);
    }

    [Fact]
    public void A_connection_that_differs_becomes_a_line_of_the_budget_and_one_that_does_not_is_none()
    {
        var differ = OneWayAnova.Of([
            [1.0, 1.1, 0.9],
            [2.0, 2.1, 1.9],
            [3.0, 3.1, 2.9],
        ]);
        var alike = OneWayAnova.Of([
            [1.0, 1.1, 0.9],
            [1.1, 0.9, 1.0],
            [0.95, 1.05, 1.0],
        ]);

        // s_a² = 3·1, s_b² = 0.01: s_B = √((3 − 0.01)/3).
        var line = differ.ToInput("reconnection");
        Assert.NotNull(line);
        Assert.Equal(Math.Sqrt(2.99 / 3), line.StandardUncertainty, 1e-12);
        Assert.InRange(line.DegreesOfFreedom, 1.9, 2);
        Assert.Null(alike.ToInput("reconnection"));
        Assert.Contains("connections differ", differ.Describe("mV", "connection"), StringComparison.Ordinal);
        Assert.Contains("do not differ", alike.Describe("mV", "connection"), StringComparison.Ordinal);
    }

    [Fact]
    public void Groups_of_unequal_size_keep_the_sum_of_squares_whole()
    {
        double[][] groups =
        [
            [1, 2, 4],
            [3, 5],
            [8, 9, 7, 8],
        ];
        var found = OneWayAnova.Of(groups);
        var all = SampleMoments.Of([.. groups.SelectMany(g => g)]);

        var whole = all.StandardDeviation * all.StandardDeviation * 8;
        Assert.Equal(whole, found.Between.SumOfSquares + found.Within.SumOfSquares, 1e-12);
        // (9 − 29/9)/2 readings in a group of average weight.
        var size = (9 - 29.0 / 9) / 2;
        Assert.Equal(
            Math.Sqrt((found.Between.MeanSquare - found.Within.MeanSquare) / size),
            found.BetweenDeviation,
            1e-12
        );
    }

    [Fact]
    public void Too_few_groups_or_readings_are_refused_and_equal_ones_show_nothing()
    {
        Assert.Throws<ArgumentException>(() =>
            OneWayAnova.Of([
                [1.0, 2],
            ])
        );
        Assert.Throws<ArgumentException>(() =>
            OneWayAnova.Of([
                [1.0],
                [2.0],
            ])
        );
        Assert.Throws<ArgumentException>(() =>
            OneWayAnova.Of([
                [1.0, double.NaN],
                [2.0, 3],
            ])
        );
        Assert.Throws<ArgumentException>(() => OneWayAnova.OfSummaries([1, 2], [0.1, -0.1], 5));
        Assert.Throws<ArgumentException>(() => OneWayAnova.OfSummaries([1, 2], [0.1, 0.1], 1));

        var equal = OneWayAnova.Of([
            [5.0, 5],
            [5.0, 5],
        ]);
        Assert.Equal(0, equal.F);
        Assert.False(equal.GroupsDiffer);
        Assert.Equal(0, equal.BetweenDeviation);
    }

    private sealed record Certified(
        double[][] Groups,
        double BetweenDegrees,
        double Between,
        double F,
        double WithinDegrees,
        double Within,
        double RSquared,
        double Residual
    );

    /// <summary>A tabular file, its leading 1 replaced where a longer row of leading digits is asked for.</summary>
    private static Certified Read(string name, string leading)
    {
        var lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "nist-strd", name + ".dat"));
        var between = Numbers(lines.First(l => l.StartsWith("Between", StringComparison.Ordinal)));
        var within = Numbers(lines.First(l => l.StartsWith("Within", StringComparison.Ordinal)));
        var start = Array.FindLastIndex(lines, l => l.StartsWith("Data:", StringComparison.Ordinal));
        var rows = lines[(start + 1)..]
            .Where(l => l.Contains('.', StringComparison.Ordinal))
            .Select(l => Numbers(leading.Length == 0 ? l : l.Replace("1.", leading + ".", StringComparison.Ordinal)))
            .ToArray();
        return new(
            [.. Enumerable.Range(0, rows[0].Length).Select(g => rows.Select(r => r[g]).ToArray())],
            between[0],
            between[1],
            between[3],
            within[0],
            within[1],
            Numbers(lines.First(l => l.Contains("R-Squared", StringComparison.Ordinal)))[0],
            Numbers(lines.First(l => l.Contains("Standard Deviation", StringComparison.Ordinal)))[0]
        );
    }

    private static double[] Numbers(string line) =>
        [
            .. line.Split(' ', StringSplitOptions.RemoveEmptyEntries)
                .Select(w =>
                    double.TryParse(w, NumberStyles.Float, CultureInfo.InvariantCulture, out var v) ? v : double.NaN
                )
                .Where(double.IsFinite),
        ];
}
