using System.Text.Json;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records.Journaling;

/// <summary>Words of the journal that reader and writer share.</summary>
internal static class Names
{
    /// <summary>Property that names an entry's kind.</summary>
    public static readonly JsonEncodedText Kind = JsonEncodedText.Encode("kind");

    /// <summary>Property that says when.</summary>
    public static readonly JsonEncodedText At = JsonEncodedText.Encode("at");

    /// <summary>Property that holds the readings of a scan.</summary>
    public static readonly JsonEncodedText Readings = JsonEncodedText.Encode("readings");

    /// <summary>Form of the wall time of a start, always UTC.</summary>
    public const string WallTime = "yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'";

    private static readonly JsonEncodedText s_scanned = JsonEncodedText.Encode("scanned");

    /// <summary>The word for an entry's kind.</summary>
    /// <exception cref="ArgumentException">The kind has no word.</exception>
    public static JsonEncodedText Of(JournalEntry entry) =>
        entry is Scanned ? s_scanned : JsonEncodedText.Encode(Word(entry));

    private static string Word(JournalEntry entry) =>
        entry switch
        {
            RunOpened => "run opened",
            FileEmbedded => "file embedded",
            CautionAcknowledged => "caution acknowledged",
            GateChecked => "gate checked",
            GatePassed => "gate passed",
            StepStarted => "step started",
            StepEnded => "step ended",
            Asked => "asked",
            Answered => "answered",
            SwitchIntended => "switch intended",
            SwitchEnded => "switch ended",
            OutputIntended => "output intended",
            OutputSwitched => "output switched",
            StatesRead => "states read",
            LoadRemoved => "load removed",
            LoadOff => "load off",
            PointMeasured => "point measured",
            Tripped => "tripped",
            Stopped => "stopped",
            Remarked => "remarked",
            ClockMoved => "clock moved",
            RunClosed => "run closed",
            _ => throw new ArgumentException($"No journal word for {entry.GetType().Name}.", nameof(entry)),
        };
}
