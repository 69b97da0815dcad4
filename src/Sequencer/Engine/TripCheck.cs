using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>The trip decisions, pure: raw reading and frozen limit in, cause or nothing out.</summary>
/// <remarks>Written "trip unless inside", so that what is no number trips (NaN compares false with everything).</remarks>
public static class TripCheck
{
    /// <summary>Below this many volts at the bank amperes over volts says nothing and is not judged.</summary>
    private const double LeastVoltsForConductance = 3;

    /// <summary>At and beyond this magnitude a value is a code of the instrument, not a reading (SCPI-99, 7.2.1.4 and 7.2.1.5: 9.9E37, 9.91E37).</summary>
    private const double NoReading = 1e37;

    /// <summary>Noise is expected where one count is at most this part of the reading.</summary>
    private const double NoisyPart = 20e-6;

    /// <summary>Part of the volts that may be lost between studs and bank.</summary>
    private const double DropPart = 0.1;

    /// <summary>Readings in a row with the same digits that say frozen.</summary>
    private const int SameInARow = 20;

    /// <summary>Least time they span.</summary>
    private static readonly TimeSpan FrozenFor = TimeSpan.FromSeconds(1.9);

    /// <summary>Judges volts against the limits of the state.</summary>
    /// <param name="channel">Whose reading it is, for the words.</param>
    /// <param name="volts">Raw reading, V.</param>
    /// <param name="limits">Frozen limits.</param>
    /// <returns>The cause, or null when inside; below zero and outside is wrong in sign, whatever its size.</returns>
    public static RemovalCause? Volts(Channel channel, double volts, TripLimits limits) =>
        limits.Volts.Contains(volts) ? null
        : volts < 0
            ? Polarity(
                Words(channel, volts, "V", limits.Volts),
                "swap the weld leads or the sense wires, whichever is wrong"
            )
        : new RemovalCause("VOLTS", Words(channel, volts, "V", limits.Volts));

    /// <summary>Judges amperes against the limits of the state; parameters and result as for <see cref="Volts"/>.</summary>
    public static RemovalCause? Amperes(Channel channel, double amperes, TripLimits limits) =>
        limits.Amperes.Contains(amperes) ? null
        : amperes < 0
            ? Polarity(Words(channel, amperes, "A", limits.Amperes), "swap the sense wires of its shunt or sensor")
        : new RemovalCause("AMPERES", Words(channel, amperes, "A", limits.Amperes));

    private static RemovalCause Polarity(string read, string remedy) =>
        new("POLARITY", $"{read} The sign is wrong: stop the engine, measure the studs dead, and {remedy}.");

    /// <summary>Judges amperes over volts at the bank against the elements that are on.</summary>
    /// <param name="volts">Bank volts of one transaction.</param>
    /// <param name="amperes">Bank amperes of the same transaction.</param>
    /// <param name="limits">Frozen limits.</param>
    /// <remarks>31.2 V and 250 A are 8.01 S; elements of 7.875 S with 5 % allowed pass.</remarks>
    /// <param name="before">The same two before the last step of the elements; null when there was none.</param>
    public static RemovalCause? Conductance(
        double volts,
        double amperes,
        TripLimits limits,
        (double Volts, double Amperes)? before = null
    )
    {
        if (limits.Conductance is not { } allowed || Math.Abs(volts) < LeastVoltsForConductance)
            return null;
        var siemens = amperes / volts;
        if (allowed.Contains(siemens))
            return null;
        return before == (volts, amperes)
            ? new RemovalCause(
                "FROZEN",
                $"{volts:0.##} V and {amperes:0.##} A are to the last digit what was read before the elements were switched; the elements commanded allow {allowed.Lower:0.####} S to {allowed.Upper:0.####} S, and this is {siemens:0.####} S. One of the two at least would have moved."
            )
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

    /// <summary>Readings with every good one that is no number flagged as none: nothing behind this sees infinity, NaN or a code.</summary>
    public static ImmutableArray<Reading> Flagged(ImmutableArray<Reading> readings)
    {
        foreach (var reading in readings)
        {
            if (reading.Flag == IndicationFlag.Good && !(Math.Abs(reading.Value) < NoReading))
                return [.. readings.Select(Flagged)];
        }
        return readings;
    }

    private static Reading Flagged(Reading reading) =>
        reading.Flag == IndicationFlag.Good && !(Math.Abs(reading.Value) < NoReading)
            ? reading with
            {
                Value = 0,
                Flag = IndicationFlag.NotANumber,
            }
            : reading;

    /// <summary>Judges what is no usable number, whatever the channel is for.</summary>
    /// <param name="channel">Whose reading it is, for the words.</param>
    /// <param name="flag">What its reading is worth.</param>
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

    /// <summary>Judges whether a channel is frozen: digits that never change where noise is expected.</summary>
    /// <param name="channel">Whose reading it is, for the words.</param>
    /// <param name="input">Its resolution and aperture.</param>
    /// <param name="value">Raw reading.</param>
    /// <param name="same">How long it has been so to the last digit.</param>
    /// <remarks>
    /// Noise is expected where one count is at most 20 ppm of the reading: no engine holds its output so steady. At 31.2 V a count
    /// of 100 µV is 3.2 ppm: 20 readings over 2 s that agree to the last digit trip; a bank's sensor with counts of 10 mV is not judged.
    /// Common practice, no source.
    /// </remarks>
    internal static RemovalCause? Frozen(
        Channel channel,
        InputDefinition input,
        double value,
        Sameness same,
        TimeSpan at
    )
    {
        var span = at - same.Since;
        var isJudged = input.Resolution <= NoisyPart * Math.Abs(value);
        return !isJudged || same.Count < SameInARow || span < FrozenFor || span < SameInARow * input.Aperture
            ? null
            : new RemovalCause(
                "FROZEN",
                $"{channel.Name} ({channel.InstrumentId}) has read {value} for {span.TotalSeconds:0.0} s, {same.Count} times to the last digit; a live one stirs. Look at the instrument and its trigger."
            );
    }

    /// <summary>Judges the age of a channel's last good reading.</summary>
    public static RemovalCause? Age(Channel channel, TimeSpan age) =>
        age <= channel.MaximumAge
            ? null
            : new RemovalCause(
                "SILENT",
                $"{channel.Name} ({channel.InstrumentId}) gave no good reading for {age.TotalSeconds:0.00} s; the limit is {channel.MaximumAge.TotalSeconds:0.00} s."
            );

    /// <summary>Judges the time between two closings of a scan: a loop that comes late has not been watching.</summary>
    /// <param name="gap">Time since the one before.</param>
    public static RemovalCause? Late(TimeSpan gap) =>
        gap - RunMachine.ScanPeriod <= DeadMan.Limit
            ? null
            : new RemovalCause(
                "LATE",
                $"{(gap - RunMachine.ScanPeriod).TotalMilliseconds:0} ms passed without the program looking at anything; at most {DeadMan.Limit.TotalMilliseconds:0} ms are allowed. Free the machine of other work, then begin again."
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

    /// <summary>Judges volts at the studs against volts at the bank.</summary>
    /// <remarks>
    /// The studs may be lower by no more than twice what both data sheets and 1 % of reading allow, and higher by 10 % of reading besides:
    /// the drop in leads, lugs and reference shunt. 31.2 V and 30.8 V agree; 31.2 V and 24 V burn 2 kW in a lug at 300 A, or one of
    /// the two is wrong.
    /// </remarks>
    public static RemovalCause? VoltsAgree(Bench bench, Reading? studs, Reading? bank)
    {
        if (studs is not { } s || bank is not { } b)
            return null;
        var (first, second) = (bench.Channels[s.Channel], bench.Channels[b.Channel]);
        var margin = Margin(
            ChannelError.HalfWidth(bench, first, s.Value) + ChannelError.HalfWidth(bench, second, b.Value),
            s.Value
        );
        var drop = s.Value - b.Value;
        return new Band(-margin, margin + DropPart * Math.Abs(s.Value)).Contains(drop)
            ? null
            : Apart(first, s.Value, second, b.Value, "V", "Look for a lug that has worked loose, then at sense leads.");
    }

    /// <summary>Judges amperes by the reference shunt against those by the bank's own sensor.</summary>
    /// <remarks>
    /// They may differ by twice what both data sheets allow and 1 % of reading: 300 A by a 500 A, 50 mV shunt and by a 1 kA sensor of
    /// 0.5 % and 0.2 % of range, 11 A.
    /// </remarks>
    public static RemovalCause? AmperesAgree(Bench bench, Reading? drop, Reading? bank)
    {
        if (drop is not { } d || bank is not { } b)
            return null;
        var (first, second) = (bench.Channels[d.Channel], bench.Channels[b.Channel]);
        var perVolt = bench.ReferenceShunt.RatedAmperes.Value / bench.ReferenceShunt.RatedVolts.Value;
        var reference = d.Value * perVolt;
        var margin = Margin(
            ChannelError.HalfWidth(bench, first, d.Value) * perVolt + ChannelError.HalfWidth(bench, second, b.Value),
            reference
        );
        return Math.Abs(reference - b.Value) <= margin
            ? null
            : Apart(first, reference, second, b.Value, "A", "Look at shunt leads, ranges and scales.");
    }

    private static double Margin(double halfWidths, double value) => 2 * halfWidths + 0.01 * Math.Abs(value);

    private static RemovalCause Apart(Channel first, double a, Channel second, double b, string unit, string help) =>
        new(
            "DISAGREE",
            $"{first.Name} ({first.InstrumentId}) reads {a:0.##} {unit} and {second.Name} ({second.InstrumentId}) {b:0.##} {unit}: further apart than both can be off. {help}"
        );

    /// <summary>Limits that allow what either of two states allows; conductance is not judged between states.</summary>
    public static TripLimits Hull(TripLimits from, TripLimits to) =>
        new(Hull(from.Volts, to.Volts), Hull(from.Amperes, to.Amperes), null)
        {
            // The same rules stand behind both states, in the same order.
            Side =
                from.Side.Length == to.Side.Length
                    ? [.. from.Side.Zip(to.Side, (a, b) => a with { Allowed = Hull(a.Allowed, b.Allowed) })]
                    : to.Side,
        };

    /// <summary>Judges a channel beside the weld output: a temperature or the auxiliary output.</summary>
    /// <param name="channel">Whose reading it is.</param>
    /// <param name="value">Raw reading in the channel's unit.</param>
    /// <param name="limits">Frozen limits.</param>
    public static RemovalCause? Side(Channel channel, double value, TripLimits limits)
    {
        foreach (var limit in limits.Side)
        {
            if (limit.Role != channel.Role || limit.Allowed.Contains(value))
                continue;
            var unit = UnitText.Usual(ChannelRoles.UnitOf(channel.Role));
            return new RemovalCause(
                ChannelRoles.IsTemperature(channel.Role) ? "TEMP" : "AUXILIARY",
                Words(channel, value, unit, limit.Allowed)
            );
        }
        return null;
    }

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
