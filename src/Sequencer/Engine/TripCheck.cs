using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>The trip decisions, pure: raw reading and frozen limit in, cause or nothing out.</summary>
/// <remarks>Written "trip unless inside", so that what is no number trips (NaN compares false with everything).</remarks>
public static class TripCheck
{
    /// <summary>Below this many volts at the bank amperes over volts says nothing and is not judged.</summary>
    private const double LeastVoltsForConductance = 3;

    /// <summary>Judges volts against the limits of the state.</summary>
    /// <param name="channel">Whose reading it is, for the words.</param>
    /// <param name="volts">Raw reading, V.</param>
    /// <param name="limits">Frozen limits.</param>
    /// <returns>The cause, or null when inside.</returns>
    public static RemovalCause? Volts(Channel channel, double volts, TripLimits limits) =>
        limits.Volts.Contains(volts) ? null : new RemovalCause("VOLTS", Words(channel, volts, "V", limits.Volts));

    /// <summary>Judges amperes against the limits of the state; parameters and result as for <see cref="Volts"/>.</summary>
    public static RemovalCause? Amperes(Channel channel, double amperes, TripLimits limits) =>
        limits.Amperes.Contains(amperes)
            ? null
            : new RemovalCause("AMPERES", Words(channel, amperes, "A", limits.Amperes));

    /// <summary>Judges amperes over volts at the bank against the elements that are on.</summary>
    /// <param name="volts">Bank volts of one transaction.</param>
    /// <param name="amperes">Bank amperes of the same transaction.</param>
    /// <param name="limits">Frozen limits.</param>
    /// <remarks>31.2 V and 250 A are 8.01 S; elements of 7.875 S with 5 % allowed pass.</remarks>
    public static RemovalCause? Conductance(double volts, double amperes, TripLimits limits)
    {
        if (limits.Conductance is not { } allowed || Math.Abs(volts) < LeastVoltsForConductance)
            return null;
        var siemens = amperes / volts;
        return allowed.Contains(siemens)
            ? null
            : new RemovalCause(
                "CONDUCTANCE",
                $"{amperes:0.##} A at {volts:0.##} V is {siemens:0.####} S; the elements commanded allow {allowed.Lower:0.####} S to {allowed.Upper:0.####} S."
            );
    }

    /// <summary>Judges whether the source still gives what the state was planned with.</summary>
    /// <param name="channel">Whose reading it is, for the words.</param>
    /// <param name="volts">Raw reading, V.</param>
    /// <param name="least">Below so many volts the source has collapsed; null where it may.</param>
    /// <remarks>A quarter of the predicted volts: an engine at idle speed gives two thirds and more, a stalled one nothing.</remarks>
    public static RemovalCause? Source(Channel channel, double volts, double? least) =>
        least is not { } atLeast || volts >= atLeast
            ? null
            : new RemovalCause(
                "SOURCE",
                $"{channel.Name} ({channel.InstrumentId}) reads {volts:0.###} V; at least {atLeast:0.##} V were expected. The engine has stalled or the source has collapsed; nothing is applied again when it returns."
            );

    /// <summary>Judges what is no usable number.</summary>
    /// <returns>The cause; null for a good or a missing reading, which age judges.</returns>
    public static RemovalCause? Flag(Channel channel, IndicationFlag flag) =>
        flag switch
        {
            IndicationFlag.Overload => new RemovalCause(
                "OVERLOAD",
                $"{channel.Name} ({channel.InstrumentId}) says overload: what it reads is beyond its range."
            ),
            IndicationFlag.NotANumber => new RemovalCause(
                "NAN",
                $"{channel.Name} ({channel.InstrumentId}) sent what is not a number."
            ),
            _ => null,
        };

    /// <summary>Judges the age of a channel's last good reading.</summary>
    public static RemovalCause? Age(Channel channel, TimeSpan age) =>
        age <= channel.MaximumAge
            ? null
            : new RemovalCause(
                "SILENT",
                $"{channel.Name} ({channel.InstrumentId}) gave no good reading for {age.TotalSeconds:0.00} s; the limit is {channel.MaximumAge.TotalSeconds:0.00} s."
            );

    /// <summary>Judges what the bank says of its own protection.</summary>
    /// <param name="states">States read.</param>
    /// <param name="elements">Elements that should be on.</param>
    public static RemovalCause? OfBank(LoadStates states, ElementSet elements)
    {
        if (states.IsStopHealthy == false)
            return new RemovalCause("ESTOP", "The hard-wired stop is pressed.");
        if (states.IsOverTemperature == true)
            return new RemovalCause("TEMP", "The bank says over-temperature; its fan stays on.");
        return states.HasAirFlow == false && !elements.IsEmpty
            ? new RemovalCause("FAN", $"No air flow with elements {elements} on. Do not open the bank.")
            : null;
    }

    /// <summary>Limits that allow what either of two states allows; conductance is not judged between states.</summary>
    public static TripLimits Hull(TripLimits from, TripLimits to) =>
        new(Hull(from.Volts, to.Volts), Hull(from.Amperes, to.Amperes), null);

    private static Band Hull(Band a, Band b) => new(Math.Min(a.Lower, b.Lower), Math.Max(a.Upper, b.Upper));

    private static string Words(Channel channel, double value, string unit, Band band)
    {
        var allowed = (double.IsNegativeInfinity(band.Lower), double.IsPositiveInfinity(band.Upper)) switch
        {
            (true, _) => $"at most {band.Upper:0.##} {unit} is allowed",
            (_, true) => $"at least {band.Lower:0.##} {unit} is asked for",
            _ => $"{band.Lower:0.##} {unit} to {band.Upper:0.##} {unit} is allowed",
        };
        return $"{channel.Name} ({channel.InstrumentId}) reads {value:0.###} {unit}; {allowed}.";
    }
}
