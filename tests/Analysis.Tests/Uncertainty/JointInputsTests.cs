using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

public class JointInputsTests
{
    [Fact]
    public void One_meter_read_twice_is_one_rectangle()
    {
        // r = 1: the sum of two rectangles of half-width 1 is a rectangle of half-width 2, the difference nothing.
        var sum = Rectangles(1, x => x[0] + x[1]).Propagate(3, new() { Trials = 200_000 });
        Assert.Equal(2 / Math.Sqrt(3), sum.StandardUncertainty, 0.005);
        Assert.Equal(1.9, sum.High, 0.005);
        var difference = Rectangles(1, x => x[0] - x[1]).Propagate(3, new() { Trials = 10_000 });
        Assert.Equal(0, difference.StandardUncertainty, 1e-12);
    }

    [Theory]
    [InlineData(0.5)]
    [InlineData(-0.8)]
    public void Correlated_rectangles_keep_their_rectangles_and_their_correlation(double r)
    {
        // Copula: each input stays a rectangle (95 % within ± 0.95 of its half-width), and the sum has variance 2/3·(1 + r).
        var one = Rectangles(r, x => x[0]).Propagate(4, new() { Trials = 200_000 });
        Assert.Equal(0.95, one.High, 0.005);
        Assert.Equal(1 / Math.Sqrt(3), one.StandardUncertainty, 0.003);
        var sum = Rectangles(r, x => x[0] + x[1]).Propagate(5, new() { Trials = 200_000 });
        Assert.Equal(Math.Sqrt(2.0 / 3 * (1 + r)), sum.StandardUncertainty, 0.005);
    }

    [Fact]
    public void A_rectangle_beside_a_normal_reaches_no_full_correlation()
    {
        MeasurementModel Mixed(double r) =>
            new(
                "y",
                "1",
                x => x[0] + x[1],
                [UncertaintyInput.FromStandard("a", 0, 1), UncertaintyInput.FromHalfWidth("b", 0, Math.Sqrt(3))],
                [new("a", "b", r)]
            );
        Assert.Equal(Math.Sqrt(2 * 1.6), Mixed(0.6).Propagate(6, new() { Trials = 200_000 }).StandardUncertainty, 0.01);
        Assert.Throws<ArgumentException>(() => Mixed(0.99).Propagate(6));
    }

    [Fact]
    public void Readings_taken_together_share_their_degrees_of_freedom()
    {
        // Jointly t with ν = 5: variance ν/(ν − 2) of a normal's, and a difference of fully correlated ones is nothing.
        MeasurementModel Pair(double r, ModelFunction f) =>
            new(
                "y",
                "1",
                f,
                [UncertaintyInput.FromStandard("a", 0, 1, 5), UncertaintyInput.FromStandard("b", 0, 1, 5)],
                [new("a", "b", r)]
            );
        var sum = Pair(0.5, x => x[0] + x[1]).Propagate(7, new() { Trials = 400_000 });
        Assert.Equal(Math.Sqrt(3 * 5.0 / 3), sum.StandardUncertainty, 0.03);
        // t at 97.5 % and ν = 5 is 2.5706 (table G.2); the sum is t with the same ν and scale √3.
        Assert.Equal(2.5706 * Math.Sqrt(3), sum.High, 0.06);
        var difference = Pair(1, x => x[0] - x[1]).Propagate(7, new() { Trials = 10_000 });
        Assert.Equal(0, difference.StandardUncertainty, 1e-12);
    }

    [Fact]
    public void Shapes_that_cannot_be_drawn_together_are_refused_with_a_way_out()
    {
        var triangles = new MeasurementModel(
            "y",
            "1",
            x => x[0] + x[1],
            [
                UncertaintyInput.FromHalfWidth("a", 0, 1, Distribution.Triangular),
                UncertaintyInput.FromHalfWidth("b", 0, 1, Distribution.Triangular),
            ],
            [new("a", "b", 0.5)]
        );
        var refusal = Assert.Throws<ArgumentException>(() => triangles.Propagate(1));
        Assert.Contains("Split what the inputs share", refusal.Message, StringComparison.Ordinal);
        var vague = new MeasurementModel(
            "y",
            "1",
            x => x[0] + x[1],
            [UncertaintyInput.FromHalfWidth("a", 0, 1), UncertaintyInput.FromStandard("b", 0, 1, 5)],
            [new("a", "b", 0.5)]
        );
        Assert.Throws<ArgumentException>(() => vague.Propagate(1));
    }

    [Theory]
    [InlineData(0.5, 0, 0)]
    [InlineData(-0.9, 3, 0)]
    [InlineData(1, 2, -1)]
    public void Second_order_of_a_product_of_correlated_inputs_is_exact(double r, double a, double b)
    {
        // Isserlis 1918: Var(XY) = a²v² + b²u² + 2abruv + u²v²(1 + r²) for jointly normal X(a, u), Y(b, v).
        var (u, v) = (0.3, 0.7);
        var model = new MeasurementModel(
            "y",
            "1",
            x => x[0] * x[1],
            [UncertaintyInput.FromStandard("x", a, u), UncertaintyInput.FromStandard("y", b, v)],
            [new("x", "y", r)]
        );
        var exact = a * a * v * v + b * b * u * u + 2 * a * b * r * u * v + u * u * v * v * (1 + r * r);
        Assert.Equal(Math.Sqrt(exact), model.SecondOrderUncertainty(), 1e-9);
    }

    private static MeasurementModel Rectangles(double r, ModelFunction f) =>
        new(
            "y",
            "1",
            f,
            [UncertaintyInput.FromHalfWidth("a", 0, 1), UncertaintyInput.FromHalfWidth("b", 0, 1)],
            [new("a", "b", r)]
        );
}
