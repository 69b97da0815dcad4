using LoadTest.Sequencer.Benches;

namespace LoadTest.Sequencer.Planning;

/// <summary>Data-sheet limits of error of a channel's reading.</summary>
internal static class ChannelError
{
    /// <summary>The input a channel reads.</summary>
    public static InputDefinition Input(Bench bench, Channel channel) =>
        bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);

    /// <summary>Half-width at a reading, in the channel's own unit.</summary>
    /// <remarks>0.5 % of reading + 0.2 % of a 1000 A range + 2 counts of 0.1 A at 300 A: 3.7 A.</remarks>
    public static double HalfWidth(Bench bench, Channel channel, double value)
    {
        var input = Input(bench, channel);
        var s = input.Specification;
        return s.OfReading * Math.Abs(value) + s.OfRange * input.Range + s.Counts * input.Resolution;
    }
}
