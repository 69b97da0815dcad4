using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;

namespace LoadTest.SequencerTests.Engine;

public sealed class NoCurrentTests
{
    // Half of the weakest AC element, 57.6 Ω, at two thirds of 240 V: 0.5 · 160 V / 57.6 Ω = 1.39 A.
    [Fact]
    public void Auxiliary_current_is_none_below_half_of_the_weakest_element_at_idle_speed()
    {
        var plan = SomePlan.Workshop;
        var channel = plan.Bench.ChannelFor(ChannelRole.AuxiliaryAmperes)!;
        Assert.Equal(0.5 * 2 / 3 * 240 / 57.6, NoCurrent.Threshold(plan, channel), 1e-9);
        Assert.True(NoCurrent.IsSensor(channel.Role));
    }

    [Fact]
    public void Where_no_auxiliary_load_can_be_put_on_every_auxiliary_current_counts_as_none()
    {
        var plan = SomePlan.Workshop;
        var channel = plan.Bench.ChannelFor(ChannelRole.AuxiliaryAmperes)!;
        Assert.Equal(
            double.PositiveInfinity,
            NoCurrent.Threshold(plan with { Bench = plan.Bench with { AuxiliaryBank = null } }, channel)
        );
        Assert.Equal(
            double.PositiveInfinity,
            NoCurrent.Threshold(plan with { Nameplate = plan.Nameplate with { Auxiliary = null } }, channel)
        );
    }
}
