using LoadTest.Sequencer.Benches;

namespace LoadTest.Sequencer.Planning;

/// <summary>Data-sheet limits of error of the channels that trip.</summary>
internal static class FastAccuracy
{
    /// <summary>Half-width of the fast amperes channel at a current, A; zero when there is none.</summary>
    /// <remarks>1 % of reading + 0.1 % of a 1000 A range at 300 A: 4 A.</remarks>
    public static double Amperes(Circuit circuit, double amperes)
    {
        if (circuit.FastAmperes is not { } channel)
            return 0;
        var shunt = circuit.Bench.ReferenceShunt;
        var perAmpere =
            channel.Role == ChannelRole.ReferenceShuntDrop ? shunt.RatedVolts / shunt.RatedAmperes : default;
        var scale = channel.Role == ChannelRole.ReferenceShuntDrop ? perAmpere.Value : 1;
        return HalfWidth(circuit, channel, amperes * scale) / scale;
    }

    /// <summary>Relative half-width of amperes over volts, both by their fast channels.</summary>
    public static double RelativeConductance(Circuit circuit, double amperes, double siemens)
    {
        if (!(amperes > 0))
            return 1;
        var volts = amperes / siemens;
        var ofVolts = circuit.FastVolts is { } channel ? HalfWidth(circuit, channel, volts) / volts : 0;
        return ofVolts + Amperes(circuit, amperes) / amperes;
    }

    private static double HalfWidth(Circuit circuit, Channel channel, double value) =>
        ChannelError.HalfWidth(circuit.Bench, channel, value);
}
