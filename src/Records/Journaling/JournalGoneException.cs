namespace LoadTest.Records.Journaling;

/// <summary>A journal whose file was deleted, replaced or cut by another program while it was being written.</summary>
/// <param name="message">What was found at its place.</param>
/// <param name="kept">Every byte written so far, where the open file still has them; empty where it has lost some.</param>
internal sealed class JournalGoneException(string message, byte[] kept) : IOException(message)
{
    /// <summary>Every byte written so far; empty where some are lost.</summary>
    public byte[] Kept { get; } = kept;
}
