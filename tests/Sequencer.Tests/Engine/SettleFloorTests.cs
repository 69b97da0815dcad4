using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class SettleFloorTests
{
    private const double VoltsNoise = 0.03;
    private const double AmperesNoise = 0.2;

    // Readings that jump by a fixed amount about their mean, at every setting the same: a share of a small one is less.
    private static IEnumerable<PointMeasured> Points(double share, double orVolts, double orAmperes)
    {
        var plan = SomePlan.Short;
        var rule = plan.Profile.Settle with
        {
            Within = share,
            OrVolts = new Volts(orVolts),
            OrAmperes = new Amperes(orAmperes),
        };
        var ratio = (plan.Bench.ReferenceShunt.RatedVolts / plan.Bench.ReferenceShunt.RatedAmperes).Value;
        var scan = 0;
        var world = new HandFedWorld(plan with { Profile = plan.Profile with { Settle = rule } })
        {
            Reads = (channel, value) =>
                (
                    value
                        + (scan++ / plan.Bench.Channels.Length % 2 == 0 ? 1 : -1)
                            * channel.Role switch
                            {
                                ChannelRole.StudVolts => VoltsNoise,
                                ChannelRole.ReferenceShuntDrop => AmperesNoise * ratio,
                                _ => 0,
                            },
                    IndicationFlag.Good
                ),
        };
        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        return world.Machine.Entries.OfType<PointMeasured>();
    }

    private static bool IsLoaded(PointMeasured point) =>
        SomePlan.Short.Steps.OfType<PointStep>().Single(s => s.Number == point.Step).State.Elements.Count > 0;

    [Fact]
    public void Noise_of_a_fixed_size_is_too_much_for_a_share_of_a_small_reading() =>
        Assert.All(Points(0.0001, 0, 0), p => Assert.False(p.HasSettled, p.Words));

    [Fact]
    public void Floors_wider_than_the_noise_let_every_point_settle() =>
        Assert.All(Points(0.0001, 0.1, 0.5), p => Assert.True(p.HasSettled, p.Words));

    [Fact]
    public void Floor_for_volts_is_none_for_amperes() =>
        Assert.All(
            Points(0.0001, 0.1, 0).Where(IsLoaded),
            p =>
            {
                Assert.False(p.HasSettled, p.Words);
                Assert.Contains(" A ", p.Words, StringComparison.Ordinal);
            }
        );

    [Fact]
    public void Floor_narrower_than_the_share_changes_nothing() =>
        Assert.Equal(Points(0.01, 0, 0).Select(p => p.HasSettled), Points(0.01, 1e-6, 1e-6).Select(p => p.HasSettled));
}
