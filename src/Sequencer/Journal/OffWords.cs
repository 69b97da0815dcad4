using System.Globalization;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Sequencer.Journal;

/// <summary>What is known of the load, in words: made of the facts, for a person, and never read back.</summary>
public static class OffWords
{
    /// <summary>What has to be done now, whoever can still do it, while load off is not confirmed.</summary>
    public const string Instruction =
        "Switch the weld output off, stop the engine with its own switch, stay clear, pull no lead or plug; then measure the volts at the studs before you touch them.";

    /// <summary>What has to be done after any removal, also a confirmed one.</summary>
    public const string StillLive =
        "The studs are still live: switch the weld output off, stop the engine, and measure the volts at the studs before you touch them.";

    /// <summary>One sentence without its full stop: contacts, currents, volts, then how often all-off was written.</summary>
    /// <remarks>
    /// "all contacts read open 0.12 s after the removal; 0.02 A by the reference shunt 0.2 s after it; 72.1 V at the studs 0.2 s after it".
    /// </remarks>
    public static string Of(OffFacts facts)
    {
        ArgumentNullException.ThrowIfNull(facts);
        List<string> words = [Contacts(facts), .. Currents(facts), Volts(facts)];
        if (facts.IsCurrentGone && !facts.Says(OffSign.Live))
            words.Add("the source is not shown live, so the missing current says nothing about the contacts");
        if (facts.AllOffs != default)
            words.Add(facts.AllOffs.Words);
        if (facts.Stopped is { } stopped)
            words.Add($"{stopped.Who} says that the engine has stopped");
        return string.Join("; ", words);
    }

    private static string Contacts(OffFacts facts) =>
        facts.Contacts is not { } read ? "contacts never read, before the removal or since"
        : !facts.IsSince(read.At)
            ? $"contacts not read since ({Held(read.Held)}, {Seconds(facts.Removed - read.At)} before the removal)"
        : read.Held.IsEmpty ? $"all contacts read open {Seconds(read.At - facts.Removed)} after the removal"
        : $"ELEMENT {read.Held} STILL ON {Seconds(read.At - facts.Removed)} after the removal";

    private static string Held(ElementSet held) => held.IsEmpty ? "last all open" : $"last element {held} on";

    // The certified shunt always; another channel where it shows current, or counts and the certified one does not.
    private static IEnumerable<string> Currents(OffFacts facts)
    {
        var currents = facts.Readings.Where(r => r.Sign is not (OffSign.Live or OffSign.NotLive)).ToArray();
        var isCertified = currents.Any(r => IsCertified(r) && facts.IsSince(r.At) && r.Sign == OffSign.NoCurrent);
        var told = currents
            .Where(r =>
                IsCertified(r)
                || facts.IsSince(r.At) && (r.Sign == OffSign.Current || r.Sign == OffSign.NoCurrent && !isCertified)
            )
            .GroupBy(r => r.Role)
            .Select(g => g.MaxBy(r => (r.Sign == OffSign.Current && facts.IsSince(r.At), r.At)))
            .Select(r => Reading(facts, r, "A"))
            .ToArray();
        return told.Length > 0 ? told : ["no current reading"];
    }

    private static bool IsCertified(OffReading reading) => reading.Role == ChannelRole.ReferenceShuntDrop;

    private static string Volts(OffFacts facts) =>
        facts.Readings.Where(r => r.Role == ChannelRole.StudVolts).ToArray() is { Length: > 0 } volts
            ? Reading(facts, volts.MaxBy(r => r.At), "V")
            : "no voltage reading";

    private static string Reading(OffFacts facts, OffReading reading, string unit)
    {
        var value = $"{reading.Value.ToString("0.##", CultureInfo.InvariantCulture)} {unit}";
        var place = Place(reading.Role);
        return !facts.IsSince(reading.At) ? $"{place.Name} not read since (last {value}, {Before(facts, reading.At)})"
            : IsStuck(reading) && !facts.IsSince(reading.SameSince)
                ? $"{value} {place.By}, the same digits since {Before(facts, reading.SameSince)}"
            : $"{value} {place.By} {After(facts, reading.At)}";
    }

    private static bool IsStuck(OffReading reading) => reading.Sign is not (OffSign.NoCurrent or OffSign.Live);

    private static (string Name, string By) Place(ChannelRole role) =>
        role switch
        {
            ChannelRole.StudVolts => ("volts at the studs", "at the studs"),
            ChannelRole.ReferenceShuntDrop => ("reference shunt", "by the reference shunt"),
            ChannelRole.UnitShuntDrop => ("the unit's shunt", "by the unit's shunt"),
            ChannelRole.BankAmperes => ("the bank's current", "by the bank"),
            _ => ("auxiliary current", "at the auxiliary output"),
        };

    private static string After(OffFacts facts, TimeSpan at) => $"{Seconds(at - facts.Removed)} after it";

    private static string Before(OffFacts facts, TimeSpan at) => $"{Seconds(facts.Removed - at)} before it";

    private static string Seconds(TimeSpan span) =>
        string.Create(CultureInfo.InvariantCulture, $"{span.TotalSeconds:0.0#} s");
}
