namespace LoadTest.Records.Journaling;

/// <summary>Where frames are kept and how they become durable: a real file, or one in virtual time.</summary>
/// <remarks>
/// Called on the pump only. Frames become durable in order; without a request they do so by themselves after
/// <see cref="JournalWriter.LongestExposure"/>. The first error is final: nothing more is written, and the handle is not used again.
/// </remarks>
public interface IJournalStorage : IDisposable
{
    /// <summary>Told on the pump how many frames are durable, or what went wrong; set once, before the first frame.</summary>
    Action<long, IOException?>? Synced { get; set; }

    /// <summary>Takes a frame; copies it.</summary>
    void Append(ReadOnlySpan<byte> frame);

    /// <summary>Asks that everything appended so far becomes durable as soon as possible.</summary>
    void RequestSync();
}
