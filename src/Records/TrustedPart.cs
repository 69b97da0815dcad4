using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records;

/// <summary>What the trusted frames of a journal can still say, when those after them are missing or damaged.</summary>
/// <remarks>
/// Frames are trusted from the first to the last before a bad one, or before one of a newer version, whose meaning is not known. Where they
/// do not end with "run closed", anything may have followed: then only what no later frame could deny is concluded, and the rest is unknown.
/// </remarks>
internal sealed class TrustedPart
{
    private readonly Dictionary<int, int> _ended = [];
    private readonly int _lastScan = -1;

    public TrustedPart(JournalContents journal)
    {
        Journal = journal;
        for (var i = 0; i < journal.Entries.Length; i++)
        {
            if (journal.Entries[i] is NewerEntry)
                break;
            if (journal.Entries[i] is StepEnded ended)
                _ended[ended.Step] = i;
            else if (journal.Entries[i] is Scanned)
                _lastScan = i;
        }
    }

    /// <summary>The journal.</summary>
    public JournalContents Journal { get; }

    /// <summary>Whether every frame to "run closed" is there and known: then what is not in it did not happen.</summary>
    public bool IsWhole => Journal is { Bad: null, Newer: null, IsClosed: true };

    /// <summary>Whether every file the run depended on is there; they stand together, right behind the first entry.</summary>
    public bool HasFiles => IsWhole || Journal.Entries.Any(e => e is not (RunOpened or FileEmbedded));

    /// <summary>Whether a step was left, so that no later answer belongs to it.</summary>
    public bool HasEnded(int step) => IsWhole || _ended.ContainsKey(step);

    /// <summary>Whether a step was left and a scan follows: a reading may be journaled with the scan after the window it counts in.</summary>
    public bool HasReadings(int step) => IsWhole || (_ended.TryGetValue(step, out var at) && at < _lastScan);

    /// <summary>Whether anything was switched on, or may have been: true once such a command was sent, null when missing frames could say.</summary>
    public bool? WasEnergised
    {
        get
        {
            if (IsWhole)
                return ((RunClosed)Journal.Entries[^1]).Bank != BankEnd.NeverEnergised;
            var intended = new HashSet<int>();
            foreach (var entry in Journal.Entries)
            {
                if (entry is SwitchIntended { Elements.IsEmpty: false } on)
                    intended.Add(on.Command);
                else if (entry is OutputIntended { IsOn: true } output)
                    intended.Add(output.Command);
                else if (entry is SwitchEnded ended && intended.Contains(ended.Command))
                    return true;
                else if (entry is OutputSwitched switched && intended.Contains(switched.Command))
                    return true;
            }
            return null;
        }
    }
}
