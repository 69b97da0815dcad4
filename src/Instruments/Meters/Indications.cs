using System.Collections.Immutable;
using System.Runtime.InteropServices;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Meters;

/// <summary>Indications from numbers: only a finite number in range is good.</summary>
internal static class Indications
{
    /// <summary>Magnitudes from here on are a device's way of saying overload.</summary>
    public const double LeastOverload = 1e37;

    /// <summary>An indication of a number, flagged when it is none or an overload.</summary>
    public static Indication Of(double value, long timestamp) =>
        double.IsNaN(value) ? new Indication(0, IndicationFlag.NotANumber, timestamp)
        : Math.Abs(value) < LeastOverload ? new Indication(value, IndicationFlag.Good, timestamp)
        : new Indication(0, IndicationFlag.Overload, timestamp);

    /// <summary>So many missing ones.</summary>
    public static ImmutableArray<Indication> Missing(int count, long timestamp)
    {
        var missing = new Indication[count];
        Array.Fill(missing, new Indication(0, IndicationFlag.Missing, timestamp));
        return ImmutableCollectionsMarshal.AsImmutableArray(missing);
    }
}
