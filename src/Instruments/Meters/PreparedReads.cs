using System.Collections.Immutable;

namespace LoadTest.Instruments.Meters;

/// <summary>What was prepared for a caller's fixed array of inputs, found again by the array itself.</summary>
/// <typeparam name="T">What is prepared.</typeparam>
internal sealed class PreparedReads<T>(Func<ImmutableArray<string>, T> prepare)
{
    /// <summary>More callers than this prepare anew each time.</summary>
    private const int MostKept = 16;

    private readonly List<(ImmutableArray<string> Inputs, T Prepared)> _kept = [];

    /// <summary>What belongs to this array, prepared now or earlier.</summary>
    public T For(ImmutableArray<string> inputs)
    {
        foreach (var (known, prepared) in _kept)
        {
            if (known == inputs)
                return prepared;
        }
        var made = prepare(inputs);
        if (_kept.Count < MostKept)
            _kept.Add((inputs, made));
        return made;
    }

    /// <summary>A second one of the same, while the first is in use.</summary>
    public T Another(ImmutableArray<string> inputs) => prepare(inputs);
}
