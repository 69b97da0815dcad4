using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

/// <summary>Coverage factors where rectangles dominate a budget.</summary>
public sealed class DominanceTests
{
    private const double P = 0.95;

    /// <summary>EA-4/02 M:2022, S9 and S10 (from memory): 1.65 and 1.83 at 95 %; the digits beyond from the shapes themselves.</summary>
    [Theory]
    [InlineData(1, 0, 1.6454)]
    [InlineData(0.7976, 0.2024, 1.8351)]
    public void Rectangle_and_trapezoid_give_their_published_factors(double first, double second, double k) =>
        Assert.Equal(k, new Dominance(first, second, Component.Specification).Factor(P), 2e-3);

    /// <summary>A normal rest widens the tails: k lies between the rectangle's and the normal's.</summary>
    [Fact]
    public void Factor_passes_steadily_from_rectangle_to_normal()
    {
        var before = 1.64;
        foreach (var share in (double[])[1, 0.95, 0.9, 0.8, 0.7, 0.5, 0.2])
        {
            var k = new Dominance(share, 0, Component.Specification).Factor(P);
            Assert.InRange(k, before, 1.965);
            before = k;
        }
    }

    [Fact]
    public void Rectangle_dominates_from_seventy_percent_of_the_variance_on()
    {
        Budget Of(double normal) =>
            Budget.Linear(
                "y",
                "V",
                0,
                [
                    UncertaintyInput.FromHalfWidth("limit", 0, Math.Sqrt(3)) with
                    {
                        Component = Component.Specification,
                    },
                    UncertaintyInput.FromStandard("rest", 0, normal),
                ],
                null,
                P
            );
        Assert.Equal(1.6454, Of(0).CoverageFactor, 2e-3);
        Assert.Equal(Component.Specification, Of(0.5).Dominance?.Component);
        Assert.Null(Of(0.7).Dominance);
        Assert.Equal(1.96, Of(0.7).CoverageFactor, 2e-3);
    }

    /// <summary>Halves of one error are one rectangle, not two.</summary>
    [Fact]
    public void Lines_of_one_error_are_one_rectangle()
    {
        var half = UncertaintyInput.FromHalfWidth("gain", 0, 0.5) with
        {
            Component = Component.Gain,
            SharedBy = "meter",
        };
        var budget = Budget.Linear("y", "V", 0, [half, half], null, P);
        Assert.Equal(1, budget.Dominance?.First ?? 0, 12);
        Assert.Equal(1.6454, budget.CoverageFactor, 2e-3);
    }
}
