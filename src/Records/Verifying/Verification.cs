using System.Collections.Immutable;
using LoadTest.Records.Journaling;

namespace LoadTest.Records.Verifying;

/// <summary>What became of comparing a record with its journal.</summary>
public enum RecordState
{
    /// <summary>Every byte is as it is drawn from the journal today.</summary>
    Same,

    /// <summary>Written by another version; every value agrees.</summary>
    SameValues,

    /// <summary>It says something else than the journal.</summary>
    Different,

    /// <summary>There is none, or it is not readable as one.</summary>
    Unreadable,

    /// <summary>No record can be drawn from this journal, though every frame of it is good.</summary>
    NotDrawn,

    /// <summary>The journal is bad, so there was nothing to compare it with.</summary>
    NotCompared,
}

/// <summary>What the verifier found.</summary>
/// <param name="Frames">Frames of the journal that can be trusted.</param>
/// <param name="Head">Hash of the last of them, lower-case hexadecimal.</param>
/// <param name="IsClosed">Whether the journal says how the run ended.</param>
/// <param name="Bad">The first bad frame; null when there is none.</param>
/// <param name="Record">What became of comparing the record.</param>
/// <param name="Differences">Where the record differs, at most a handful, each with both values.</param>
public sealed record Verification(
    long Frames,
    string Head,
    bool IsClosed,
    BadFrame? Bad,
    RecordState Record,
    ImmutableArray<string> Differences
)
{
    /// <summary>Whether chain and record hold.</summary>
    public bool Holds => Bad is null && IsClosed && (Record is RecordState.Same or RecordState.SameValues);

    /// <summary>One line for a person.</summary>
    public string Words =>
        Bad is { } bad ? bad.ToString()
        : !IsClosed && Record != RecordState.NotDrawn
            ? $"The journal ends after frame {Frames - 1} without saying how the run ended: it was interrupted, or cut."
        : Record switch
        {
            RecordState.Same =>
                $"Journal and record hold: {Frames} frames, head {Head}, record the same byte for byte.",
            RecordState.SameValues =>
                $"Journal and record hold: {Frames} frames, head {Head}; the record was written by another version and every value agrees.",
            RecordState.NotDrawn =>
                $"The journal holds ({Frames} frames), but no record can be drawn from it. {string.Join(' ', Differences)}",
            RecordState.Unreadable =>
                $"The journal holds ({Frames} frames), but there is no readable record. {string.Join(' ', Differences)}",
            _ =>
                $"The journal holds ({Frames} frames), but the record says something else: {string.Join("; ", Differences)}.",
        };
}
