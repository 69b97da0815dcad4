using LoadTest.Sequencer.Benches;
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
}
