namespace LoadTest.Records.Verifying;

/// <summary>A file of a run's folder as this build draws it from the journal.</summary>
/// <param name="Name">Its name within the folder, with "/" between folders.</param>
/// <param name="Bytes">Its bytes.</param>
public sealed record DrawnFile(string Name, byte[] Bytes);

/// <summary>The second answer of <c>verify</c>: whether this build draws a file as it lies there.</summary>
public enum Drawn
{
    /// <summary>Byte for byte.</summary>
    Same,

    /// <summary>Something else: it was made by another build, or changed since.</summary>
    Differs,

    /// <summary>It is not there, cannot be read, or cannot be drawn from this journal.</summary>
    Cannot,
}

/// <summary>What became of drawing one file again.</summary>
/// <param name="Name">Its name within the folder.</param>
/// <param name="Answer">Same, differs, cannot.</param>
/// <param name="Details">Where it differs, or why it cannot be compared; empty when it is the same.</param>
public sealed record DrawnAgain(string Name, Drawn Answer, IReadOnlyList<string> Details);
