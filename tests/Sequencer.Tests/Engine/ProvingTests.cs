using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>What the second half of the gate does not find as expected is refused with what was read and what was expected.</summary>
public sealed class ProvingTests
{
    private static HandFedWorld With(Func<Channel, double, double> reads) =>
        new(SomePlan.Short) { Reads = (channel, value) => (reads(channel, value), IndicationFlag.Good) };

    private static RunClosed Ended(HandFedWorld world) => world.UntilClosed().Machine.Closed!;

    [Theory]
    [InlineData(-1, "POLARITY", "swap the weld leads or the sense wires")]
    [InlineData(0.5, "VOLTS", "were expected with the bank open")]
    public void Open_circuit_volts_of_the_wrong_sign_or_size_are_refused(double factor, string code, string words)
    {
        var closed = Ended(With((c, v) => c.Role is ChannelRole.StudVolts ? factor * v : v));
        Assert.Equal((Outcome.Refused, code), (closed.Outcome, closed.Code));
        Assert.Contains(words, closed.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-1, "POLARITY", "swap the sense wires of its shunt or sensor")]
    [InlineData(0.3, "PLAUSIBILITY", "The proving load drew")]
    public void Proving_current_of_the_wrong_sign_or_size_is_refused(double factor, string code, string words)
    {
        var closed = Ended(With((c, v) => c.Role is ChannelRole.ReferenceShuntDrop ? factor * v : v));
        Assert.Equal((Outcome.Refused, code), (closed.Outcome, closed.Code));
        Assert.Contains(words, closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Bank_whose_own_sensor_does_not_see_the_proving_current_is_refused()
    {
        var closed = Ended(With((c, v) => c.Role is ChannelRole.BankAmperes ? 0 : v));
        Assert.Equal(Outcome.Refused, closed.Outcome);
    }

    [Fact]
    public void Current_of_the_proving_load_is_believed_after_five_readings_of_the_reference_shunt_in_a_row()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is ExpectAmperesAct);
        Assert.Equal(5, ReferenceReadingsUntil(world, w => w.Act is not ExpectAmperesAct));
    }

    [Fact]
    public void Current_is_gone_after_five_readings_of_the_reference_shunt_in_a_row()
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is AwaitNoCurrentAct);
        Assert.Equal(5, ReferenceReadingsUntil(world, w => w.Act is not AwaitNoCurrentAct));
    }

    private static int ReferenceReadingsUntil(HandFedWorld world, Predicate<HandFedWorld> reached)
    {
        var turns = world.Machine.Turns.Count;
        world.Until(reached);
        var index = world.Plan.Bench.Channels.Index().Single(c => c.Item.Role == ChannelRole.ReferenceShuntDrop).Index;
        return world
            .Machine.Turns.Skip(turns)
            .Select(t => t.Input)
            .OfType<ReadingsArrived>()
            .SelectMany(r => r.Readings)
            .Count(r => r.Channel == index);
    }

    [Fact]
    public void Bank_without_a_sensor_of_its_own_is_proved_by_the_reference_shunt_alone()
    {
        var plan = SomePlan.Short;
        var bare = plan with
        {
            Bench = plan.Bench with
            {
                Channels = [.. plan.Bench.Channels.Where(c => c.Role != ChannelRole.BankAmperes)],
            },
        };
        var world = new HandFedWorld(bare).UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
    }

    // Of a proving load of 8 A or so a tenth and 3 A are some 3.8 A.
    [Theory]
    [InlineData(3.5, true)]
    [InlineData(4.5, false)]
    public void Banks_own_sensor_may_differ_by_a_tenth_and_three_amperes_at_the_proving_load(
        double amperes,
        bool isBelieved
    )
    {
        var world = new HandFedWorld(SomePlan.Short).Until(w => w.Act is ExpectAmperesAct);
        world.Reads = (channel, value) =>
            (channel.Role == ChannelRole.BankAmperes ? value + amperes : value, IndicationFlag.Good);
        world.Until(w => w.Act is not ExpectAmperesAct || w.State.Latched is not null, TimeSpan.FromSeconds(20));
        Assert.Equal(isBelieved, world.State.Latched is null);
    }
}
