namespace LoadTest.Simulator.Accessories;

/// <summary>What a device on a text protocol answers to a line, framing taken off.</summary>
internal interface ITextServer
{
    /// <summary>The answer; null for silence.</summary>
    /// <param name="line">The line without check digits and terminator.</param>
    /// <param name="ticks">When it has fully arrived.</param>
    string? Answer(string line, long ticks);
}
