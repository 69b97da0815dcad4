using System.Collections.Immutable;

namespace LoadTest.Sequencer.Text;

/// <summary>What a reader made of a file: the whole value, or nothing, and everything it has to say.</summary>
/// <typeparam name="T">What the file describes.</typeparam>
/// <param name="Value">The value; null as soon as one finding is an error, never half of it.</param>
/// <param name="Findings">All findings of the file, sorted by place.</param>
public sealed record Read<T>(T? Value, ImmutableArray<Finding> Findings)
    where T : class;
