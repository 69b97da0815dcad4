using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Journal;

/// <summary>What one reading says about the load.</summary>
public enum OffSign
{
    /// <summary>Current flows: the load is not off.</summary>
    Current,

    /// <summary>No current, by an instrument of its own that measures the unit's output: it counts.</summary>
    NoCurrent,

    /// <summary>No current, on a channel that does not count alone: the bank's own sensor, a shunt that showed none in this run, the auxiliary output.</summary>
    Unproved,

    /// <summary>Volts that would drive a current seen by every witness through one element left on: the source is live.</summary>
    Live,

    /// <summary>Too few volts for that, or the same digits since before the removal: no current then says nothing about the contacts.</summary>
    NotLive,
}

/// <summary>The last good reading of a channel that tells about the load.</summary>
/// <param name="Channel">Index into the bench's channels.</param>
/// <param name="Role">What it reads.</param>
/// <param name="Value">Amperes where the role is a current, shunt drops worked out with the rated ratio; otherwise volts.</param>
/// <param name="Sign">What it says about the load.</param>
/// <param name="At">When it was read, since the run was opened.</param>
/// <param name="SameSince">When the first reading with these digits was made: <paramref name="At"/> or earlier.</param>
public readonly record struct OffReading(
    int Channel,
    ChannelRole Role,
    double Value,
    OffSign Sign,
    TimeSpan At,
    TimeSpan SameSince
);

/// <summary>Elements the bank was found to hold, contacts and coils together.</summary>
/// <param name="Held">The elements; none when every contact read open and nothing was commanded.</param>
/// <param name="At">When the reply came.</param>
public readonly record struct ContactsRead(ElementSet Held, TimeSpan At);

/// <summary>A person said that the engine has stopped.</summary>
/// <param name="Who">Name of who said so.</param>
/// <param name="At">When.</param>
public readonly record struct EngineStopped(string Who, TimeSpan At);

/// <summary>Witnesses that may speak for load off; a closed set.</summary>
[Flags]
public enum OffWitnesses
{
    /// <summary>Nothing read since the removal speaks for it.</summary>
    None = 0,

    /// <summary>Every contact read open since the removal, and nothing commanded.</summary>
    Contacts = 1,

    /// <summary>No current since the removal while the studs were live: the bank is open whatever its contacts say.</summary>
    Current = 2,

    /// <summary>No current since the removal, the source not shown live: no current flows, and nothing is said about the contacts.</summary>
    CurrentOnly = 4,

    /// <summary>A named person said that the engine has stopped.</summary>
    Person = 8,
}

/// <summary>What is known of the load at one moment after its removal, each fact with its value and time.</summary>
/// <param name="Removed">When all-off was first written, or the elements were switched off in the ordinary order; only later readings count.</param>
/// <param name="AllOffs">All-offs written, answered and failed since.</param>
/// <param name="Contacts">The contacts as last read, since the removal or before; null when never read.</param>
/// <param name="Readings">The last reading of each channel that tells, since the removal or before.</param>
/// <param name="Stopped">Who said that the engine has stopped; null while nobody has.</param>
public sealed record OffFacts(
    TimeSpan Removed,
    AllOffCounts AllOffs,
    ContactsRead? Contacts,
    ImmutableArray<OffReading> Readings,
    EngineStopped? Stopped
)
{
    /// <summary>Whether a time lies after the removal; what was read at the same moment does not count.</summary>
    public bool IsSince(TimeSpan at) => at > Removed;

    /// <summary>Whether a reading since the removal says this.</summary>
    public bool Says(OffSign sign)
    {
        foreach (var reading in Readings)
        {
            if (reading.Sign == sign && IsSince(reading.At))
                return true;
        }
        return false;
    }

    /// <summary>Whether the contacts were read since the removal and every one was open.</summary>
    public bool AreContactsOpen => Contacts is { Held.IsEmpty: true } read && IsSince(read.At);

    /// <summary>Whether no current flows by readings since the removal: one that counts shows none, and no channel shows any.</summary>
    public bool IsCurrentGone => Says(OffSign.NoCurrent) && !Says(OffSign.Current);

    /// <summary>Whether this is enough to call the load off: contacts read open, and the current gone, both since the removal.</summary>
    public bool Confirm => AreContactsOpen && IsCurrentGone;

    /// <summary>The same facts with every time counted from so much earlier.</summary>
    public OffFacts After(TimeSpan shift) =>
        this with
        {
            Removed = Removed + shift,
            Contacts = Contacts is { } read ? read with { At = read.At + shift } : null,
            Readings = [.. Readings.Select(r => r with { At = r.At + shift, SameSince = r.SameSince + shift })],
            Stopped = Stopped is { } stopped ? stopped with { At = stopped.At + shift } : null,
        };

    /// <summary>Who speaks for load off.</summary>
    public OffWitnesses Witnesses =>
        (AreContactsOpen ? OffWitnesses.Contacts : OffWitnesses.None)
        | (
            !IsCurrentGone ? OffWitnesses.None
            : Says(OffSign.Live) ? OffWitnesses.Current
            : OffWitnesses.CurrentOnly
        )
        | (Stopped is not null ? OffWitnesses.Person : OffWitnesses.None);
}
