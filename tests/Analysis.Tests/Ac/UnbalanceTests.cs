using System.Numerics;
using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.Ac;

namespace LoadTest.AnalysisTests.Ac;

public sealed class UnbalanceTests
{
    [Theory]
    // NEMA MG 1 cases as published in public texts (rounded there to 2.5, 1.1, 1.96, 0.84 and 1.8 %).
    [InlineData(203, 210, 212, 0.025600)]
    [InlineData(462, 463, 455, 0.010870)]
    [InlineData(460, 467, 450, 0.019608)]
    [InlineData(480, 476, 472, 0.008403)]
    [InlineData(220, 216, 213, 0.016949)]
    public void Largest_deviation_matches_the_published_cases(double a, double b, double c, double expected) =>
        Assert.Equal(expected, Unbalance.LargestDeviation(Of(a), Of(b), Of(c)).Value, 5e-7);

    [Theory]
    // Symmetrical components of the triangle the three line voltages close: COMPUTED.
    [InlineData(480, 476, 472, 0.0097039)]
    [InlineData(460, 467, 450, 0.0214646)]
    [InlineData(203, 210, 212, 0.0260645)]
    public void Negative_sequence_matches_symmetrical_components(double a, double b, double c, double expected) =>
        Assert.Equal(expected, Unbalance.NegativeSequence(Of(a), Of(b), Of(c)).Value, 5e-8);

    [Fact]
    public void Negative_sequence_agrees_with_phasors_for_any_triangle() =>
        // Fortescue's symmetrical components from phasors, beside the formula from magnitudes.
        Gen.Select(Gen.Double[380, 420], Gen.Double[380, 420], Gen.Double[380, 420])
            .Sample(
                (a, b, c) =>
                {
                    var angle = Math.Acos((a * a + b * b - c * c) / (2 * a * b));
                    Complex ab = a;
                    var bc = Complex.FromPolarCoordinates(b, -(Math.PI - angle));
                    var ca = -ab - bc;
                    var turn = Complex.FromPolarCoordinates(1, 2 * Math.PI / 3);
                    var positive = (ab + turn * bc + turn * turn * ca).Magnitude;
                    var negative = (ab + turn * turn * bc + turn * ca).Magnitude;

                    var found = Unbalance.NegativeSequence(Of(a), Of(b), Of(c)).Value;

                    Assert.Equal(Math.Min(positive, negative) / Math.Max(positive, negative), found, 1e-9);
                },
                iter: 2000
            );

    [Fact]
    public void Order_and_unit_of_the_voltages_do_not_matter() =>
        Gen.Select(Gen.Double[100, 140], Gen.Double[100, 140], Gen.Double[100, 140], Gen.Double[0.001, 1000])
            .Sample(
                (a, b, c, unit) =>
                {
                    foreach (
                        var figure in new Func<Estimate, Estimate, Estimate, Estimate>[]
                        {
                            Unbalance.LargestDeviation,
                            Unbalance.NegativeSequence,
                        }
                    )
                    {
                        var one = figure(Of(a), Of(b), Of(c));
                        var other = figure(Of(c, unit), Of(a, unit), Of(b, unit));
                        Assert.Equal(one.Value, other.Value, 1e-9);
                        Assert.Equal(one.StandardUncertainty, other.StandardUncertainty, 1e-9);
                    }
                },
                iter: 2000
            );

    [Fact]
    public void The_spread_over_the_mean_is_not_the_unbalance() =>
        // The wrong formula gives 1.68 % for 480, 476, 472 V.
        Assert.NotEqual(8 / 476.0, Unbalance.LargestDeviation(Of(480), Of(476), Of(472)).Value, 1e-3);

    [Fact]
    public void Equal_voltages_still_carry_their_uncertainty()
    {
        var found = Unbalance.NegativeSequence(Of(400), Of(400), Of(400));

        Assert.Equal(0, found.Value);
        Assert.InRange(found.StandardUncertainty, 1e-4, 2e-2);
    }

    [Fact]
    public void Voltages_that_close_no_triangle_are_refused() =>
        Assert.Contains(
            "cannot stand at one time",
            Assert.Throws<ArgumentException>(() => Unbalance.NegativeSequence(Of(400), Of(100), Of(200))).Message
        );

    private static Estimate Of(double volts, double unit = 1) => new(volts * unit, 0.005 * volts * unit, 30);
}
