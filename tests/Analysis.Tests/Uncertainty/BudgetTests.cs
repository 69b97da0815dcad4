using CsCheck;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

public class BudgetTests
{
    [Fact]
    public void Welch_Satterthwaite_example_of_GUM_G4_reaches_its_printed_figures()
    {
        // JCGM 100:2008, G.4.1, from memory and consistent: 0.25 %, 0.57 %, 0.82 %; u_c 1.03 %, ν_eff 19.0, t95 2.09, U 2.2 %.
        var budget = Budget.Linear(
            "y",
            "%",
            0,
            [
                UncertaintyInput.FromStandard("x1", 0, 0.25, 9),
                UncertaintyInput.FromStandard("x2", 0, 0.57, 4),
                UncertaintyInput.FromStandard("x3", 0, 0.82, 14),
            ],
            coverageProbability: 0.95
        );
        Assert.Equal(1.0294658809, budget.Combined.StandardUncertainty, 9);
        Assert.Equal(18.998742314, budget.Combined.DegreesOfFreedom, 8);
        Assert.Equal(2.093024, budget.CoverageFactor, 6);
        Assert.Equal(2.1546968, budget.Expanded, 6);
    }

    [Fact]
    public void End_gauge_of_GUM_H1_reaches_its_published_figures()
    {
        // JCGM 100:2008, H.1 (components and 32 nm read in a public transcription; 93 nm from memory). In nm.
        // ν of d is 25.6 in the text because it uses the rounded 9.7 nm; unrounded inputs give 25.447 and ν_eff 16.752.
        // Sensitivities take the nominal 50 mm, as the text does.
        const double Length = 50000000;
        var budget = Budget.Linear(
            "Length of the end gauge",
            "nm",
            50000838,
            [
                UncertaintyInput.FromStandard("standard", 50000623, 25, 18),
                UncertaintyInput.FromStandard("repeated observations", 215, 5.8, 24),
                UncertaintyInput.FromStandard("comparator, random", 0, 3.9, 5),
                UncertaintyInput.FromStandard("comparator, systematic", 0, 6.7, 8),
                UncertaintyInput
                    .FromHalfWidth("difference of expansion", 0, 1e-6, Distribution.Rectangular, 50)
                    .With(Length * 0.1),
                UncertaintyInput
                    .FromHalfWidth("difference of temperature", 0, 0.05, Distribution.Rectangular, 2)
                    .With(Length * 11.5e-6),
            ],
            coverageProbability: 0.99
        );
        Assert.Equal(31.66376741, budget.Combined.StandardUncertainty, 8);
        Assert.Equal(16.7521475, budget.Combined.DegreesOfFreedom, 6);
        Assert.Equal(2.9207816, budget.CoverageFactor, 7);
        Assert.Equal(92.5, budget.Expanded, 1);
        Assert.Equal(2.88675135, budget.Lines[4].Contribution, 8);
        Assert.Equal(16.5988202, budget.Lines[5].Contribution, 6);
    }

    [Fact]
    public void Resistor_of_EA_4_02_S2_reaches_its_published_figures()
    {
        // EA-4/02, S2: R_X 10 000.1780007665 Ω, u 8.3280 mΩ, U 17 mΩ read; component limits from memory, which reproduce u.
        const double Ratio = 1.0000105;
        double[] observed = [1.0000104, 1.0000107, 1.0000106, 1.0000103, 1.0000105];
        var repeated = UncertaintyInput.FromReadings("indicated ratio", observed);
        Assert.Equal(7.0711e-8, repeated.StandardUncertainty, 12);
        var budget = Budget.Linear(
            "R_X",
            "Ω",
            (10000.053 + 0.020) * Ratio,
            [
                UncertaintyInput.FromExpanded("standard", 10000.053, 0.005, 2).With(Ratio),
                UncertaintyInput.FromHalfWidth("drift", 0.020, 0.010).With(Ratio),
                UncertaintyInput.FromHalfWidth("temperature of standard", 0, 0.00275).With(Ratio),
                UncertaintyInput.FromHalfWidth("temperature of unknown", 0, 0.0055).With(-1),
                UncertaintyInput.FromHalfWidth("ratio", 1, 1.0e-6, Distribution.Triangular).With(10000.073 * Ratio),
                repeated.With(10000.073),
            ]
        );
        Assert.Equal(10000.1780007665, budget.Combined.Value, 9);
        Assert.Equal(0.00832800405, budget.Combined.StandardUncertainty, 7);
        Assert.Equal(2.00, budget.CoverageFactor, 2);
        Assert.Equal(0.017, budget.Expanded, 3);
    }

    [Fact]
    public void Hand_held_multimeter_of_EA_4_02_S9_is_dominated_by_a_rectangle()
    {
        // EA-4/02, S9 (from memory, consistent): E 0.1 V, u 0.030 V, k 1.65, U 0.05 V.
        var budget = Budget.Linear(
            "E",
            "V",
            0.1,
            [
                UncertaintyInput.FromExpanded("calibrator", 100, 0.002, 2).With(-1),
                UncertaintyInput.FromHalfWidth("resolution", 0, 0.05),
                UncertaintyInput.FromHalfWidth("calibrator, other", 0, 0.011).With(-1),
            ]
        );
        Assert.Equal(0.0295748, budget.Combined.StandardUncertainty, 7);
        var k = Coverage.Rectangle(0.95);
        Assert.Equal(1.6454482671904334, k, 12);
        Assert.Equal(0.05, k * budget.Combined.StandardUncertainty, 2);
    }

    [Fact]
    public void Trapezoid_of_EA_4_02_S10_has_its_published_factor()
    {
        // EA-4/02, S10: 1.83 at β = 0.33 (published; from memory), computed 1.8351.
        Assert.Equal(1.8351099707670395, Coverage.Trapezoid(0.95, 0.33), 12);
    }

    [Theory]
    [InlineData(1, 0.95, 12.71)]
    [InlineData(5, 0.95, 2.57)]
    [InlineData(10, 0.95, 2.23)]
    [InlineData(16, 0.99, 2.92)]
    [InlineData(50, 0.9545, 2.05)]
    public void Coverage_factors_are_those_of_GUM_table_G2(double nu, double p, double k)
    {
        // JCGM 100:2008, table G.2 (computed, and equal to the printed two decimals).
        Assert.Equal(k, Coverage.Factor(p, nu), 2);
    }

    [Fact]
    public void Conventional_coverage_is_k_2_and_few_readings_raise_it()
    {
        Assert.Equal(2.0, Coverage.Factor(Coverage.Conventional, double.PositiveInfinity), 9);
        Assert.Equal(2.32, Coverage.Factor(Coverage.Conventional, 9.6), 2);
        Assert.Throws<ArgumentException>(() => Coverage.Factor(0.95, 0.7));
    }

    [Fact]
    public void Two_readings_of_one_meter_cancel_when_fully_correlated()
    {
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromStandard("on the way up", 10, 0.1),
            UncertaintyInput.FromStandard("on the way down", 10, 0.1).With(-1),
        ];
        var apart = Budget.Linear("difference", "V", 0, inputs);
        var together = Budget.Linear("difference", "V", 0, inputs, [new("on the way up", "on the way down", 1)]);
        Assert.Equal(0.1 * Math.Sqrt(2), apart.Combined.StandardUncertainty, 12);
        Assert.Equal(0, together.Combined.StandardUncertainty, 12);
    }

    [Fact]
    public void Correlations_that_contradict_each_other_are_refused()
    {
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromStandard("a", 0, 1),
            UncertaintyInput.FromStandard("b", 0, 1),
            UncertaintyInput.FromStandard("c", 0, 1),
        ];
        var error = Assert.Throws<ArgumentException>(() =>
            Budget.Linear("y", "V", 0, inputs, [new("a", "b", 0.9), new("b", "c", 0.9), new("a", "c", -0.9)])
        );
        Assert.Contains("contradict", error.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => Budget.Linear("y", "V", 0, inputs, [new("a", "d", 0.1)]));
        Assert.Throws<ArgumentException>(() => Budget.Linear("y", "V", 0, inputs, [new("a", "b", 1.1)]));
        UncertaintyInput[] alike = [inputs[0], inputs[0], inputs[1]];
        Assert.Throws<ArgumentException>(() => Budget.Linear("y", "V", 0, alike, [new("a", "b", 0.1)]));
    }

    /// <summary>JCGM 100:2008, 5.2.2, note 1: u is the linear sum where all are fully correlated.</summary>
    [Fact]
    public void One_error_in_two_lines_is_added_with_its_sign_and_names_do_not_matter()
    {
        var gain = UncertaintyInput.FromHalfWidth("gain", 0, 0.3) with { Component = Component.Gain, SharedBy = "m" };
        var other = gain with { SharedBy = "n" };
        var offset = gain with { Component = Component.Offset };
        double Of(params UncertaintyInput[] lines) => Budget.Linear("y", "V", 0, lines).Combined.StandardUncertainty;
        var u = 0.3 / Math.Sqrt(3);
        Assert.Equal(2 * u, Of(gain, gain.Named("gain of the second")), 12);
        Assert.Equal(0, Of(gain, gain.With(-1)), 12);
        Assert.Equal(Math.Sqrt(2) * u, Of(gain, other.With(-1)), 12);
        Assert.Equal(Math.Sqrt(2) * u, Of(gain, offset.With(-1)), 12);
        Assert.Equal(Math.Sqrt(2) * u, Of(gain with { SharedBy = "" }, gain with { SharedBy = "" }), 12);
    }

    [Fact]
    public void Not_a_number_never_becomes_an_uncertainty()
    {
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromStandard("a", double.NaN, 1));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromStandard("a", 0, double.NaN));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromStandard("a", 0, -1));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromExpanded("a", 0, 1, 0));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromStandard("a", 0, 1, 0));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromStandard("a", 0, 1).With(double.PositiveInfinity));
        Assert.Throws<ArgumentException>(() => UncertaintyInput.FromReadings("a", [1.0]));
    }

    [Fact]
    public void The_budget_does_not_depend_on_the_unit_or_the_order_of_its_lines()
    {
        Gen.Select(Gen.Double[0.01, 10].Array[4], Gen.Double[1, 30].Array[4], Gen.OneOf(1e-3, 1e3))
            .Sample(
                (u, nu, unit) =>
                {
                    UncertaintyInput[] inputs =
                    [
                        .. u.Select((v, i) => UncertaintyInput.FromStandard($"x{i}", 0, v, nu[i])),
                    ];
                    UncertaintyInput[] scaled = [.. inputs.Select(i => i.With(unit)).Reverse()];
                    var a = Budget.Linear("y", "V", 1, inputs, [new("x0", "x1", 0.4)]).Combined;
                    var b = Budget.Linear("y", "mV", unit, scaled, [new("x1", "x0", 0.4)]).Combined;
                    return Math.Abs(b.StandardUncertainty / unit / a.StandardUncertainty - 1) < 1e-12
                        && Math.Abs(b.DegreesOfFreedom / a.DegreesOfFreedom - 1) < 1e-12;
                },
                iter: 2000
            );
    }

    [Fact]
    public void Two_thirds_of_the_way_between_two_means_has_the_freedom_Willink_published()
    {
        // Willink 2008: between means at 0 and 1, ν = 2 each, the value at 2/3 has variance 5u²/9 and ν = (25/81)/(17/162) = 2.9412.
        var budget = Budget.Linear(
            "between",
            "",
            0,
            [
                UncertaintyInput.FromStandard("at 0", 0, 1, 2).With(1.0 / 3),
                UncertaintyInput.FromStandard("at 1", 0, 1, 2).With(2.0 / 3),
            ]
        );
        Assert.Equal(5.0 / 9, budget.Combined.StandardUncertainty * budget.Combined.StandardUncertainty, 12);
        Assert.Equal(2.9412, budget.Combined.DegreesOfFreedom, 4);
    }
}
