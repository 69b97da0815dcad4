using CsCheck;
using LoadTest.Analysis;
using LoadTest.Analysis.MachineAccuracy;

namespace LoadTest.AnalysisTests.MachineAccuracy;

public class ControlSweepTests
{
    private static ControlSweep Sweep(Func<double, double> up, Func<double, double> down, double u = 0.5) =>
        ControlSweep.Of([
            .. Enumerable.Range(0, 11).Select(m => new ControlPoint(m, new Estimate(up(m), u), 1)),
            .. Enumerable.Range(0, 11).Select(m => new ControlPoint(10 - m, new Estimate(down(10 - m), u), -1)),
        ]);

    [Fact]
    public void A_straight_control_is_monotonic_without_dead_spots()
    {
        var found = Sweep(m => 30 * m, m => 30 * m);
        Assert.True(found.IsMonotonic);
        Assert.Empty(found.DeadSpots);
        Assert.Empty(found.Undecided);
        Assert.Equal(0, found.NonlinearityPercent, 9);
        Assert.Equal(0, found.HysteresisPercent!.Value, 9);
        Assert.Equal((0.0, 300.0), (found.Lowest, found.Highest));
    }

    [Fact]
    public void A_dead_spot_is_found_where_it_is()
    {
        var found = Sweep(m => m <= 4 ? 30 * m : 30 * (m - 1) + 2, m => 30 * m);
        var spot = Assert.Single(found.DeadSpots);
        Assert.Equal((4.0, 5.0, 1), (spot.From, spot.To, spot.Direction));
        Assert.Contains(found.Findings, f => f.Contains("Dead spot from mark 4 to 5", StringComparison.Ordinal));
    }

    [Fact]
    public void A_control_that_runs_backwards_somewhere_is_not_monotonic()
    {
        var found = Sweep(m => 30 * m, m => m == 6 ? 140 : 30 * m);
        Assert.False(found.IsMonotonic);
        Assert.Equal((5.0, 6.0, -1), (found.Backwards[0].From, found.Backwards[0].To, found.Backwards[0].Direction));
    }

    [Fact]
    public void Down_minus_up_is_the_hysteresis_in_percent_of_the_span()
    {
        Assert.Equal(3, Sweep(m => 30 * m, m => 30 * m + (m is > 0 and < 10 ? 9 : 0)).HysteresisPercent!.Value, 9);
    }

    [Fact]
    public void Coarse_meters_leave_stretches_undecided_and_never_call_them_dead()
    {
        var found = Sweep(m => 30 * m, m => 30 * m, u: 20);
        Assert.True(found.IsMonotonic);
        Assert.Empty(found.DeadSpots);
        Assert.Equal(20, found.Undecided.Count);
    }

    [Fact]
    public void Too_few_marks_and_an_output_that_never_moves_are_refused()
    {
        Assert.Throws<ArgumentException>(() => ControlSweep.Of([new(0, new(1, 1), 1), new(1, new(2, 1), 1)]));
        Assert.Throws<ArgumentException>(() => Sweep(_ => 100, _ => 100));
        Assert.Throws<ArgumentException>(() => Sweep(_ => double.NaN, m => m));
    }

    [Fact]
    public void The_findings_do_not_depend_on_the_order_of_points_or_the_unit()
    {
        Gen.Select(Gen.Double[0, 300].Array[11], Gen.OneOf(0.5, 1024.0))
            .Sample(
                (outputs, unit) =>
                {
                    if (outputs.Max() - outputs.Min() < 1)
                        return true;
                    ControlPoint[] points = [.. outputs.Select((o, m) => new ControlPoint(m, new(o, 3), 1))];
                    ControlPoint[] other =
                    [
                        .. points.Reverse().Select(p => p with { Output = new(p.Output.Value * unit, 3 * unit) }),
                    ];
                    var (a, b) = (ControlSweep.Of(points), ControlSweep.Of(other));
                    return a.IsMonotonic == b.IsMonotonic
                        && a.DeadSpots.Count == b.DeadSpots.Count
                        && Math.Abs(a.NonlinearityPercent - b.NonlinearityPercent) < 1e-9;
                },
                iter: 1000
            );
    }
}
