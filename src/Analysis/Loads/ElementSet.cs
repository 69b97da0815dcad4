using System.Collections.Immutable;
using System.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>A set of load-bank elements, element k as bit k, at most 32 of them.</summary>
/// <param name="Mask">Bit k set means element k (counted from 0) is in the set.</param>
public readonly record struct ElementSet(uint Mask)
{
    /// <summary>No element: the bank open.</summary>
    public static ElementSet None => default;

    /// <summary>How many elements are in the set.</summary>
    public int Count => BitOperations.PopCount(Mask);

    /// <summary>Whether no element is in the set.</summary>
    public bool IsEmpty => Mask == 0;

    /// <summary>Whether element <paramref name="index"/> (from 0) is in the set.</summary>
    public bool Contains(int index) => (Mask >> index & 1) == 1;

    /// <summary>The set with element <paramref name="index"/> (from 0) added.</summary>
    public ElementSet With(int index) => new(Mask | 1u << index);

    /// <summary>The set with element <paramref name="index"/> (from 0) taken out.</summary>
    public ElementSet Without(int index) => new(Mask & ~(1u << index));

    /// <summary>The elements' indices from 0, rising.</summary>
    public ImmutableArray<int> Indices()
    {
        var mask = Mask;
        return [.. Enumerable.Range(0, 32).Where(k => (mask >> k & 1) == 1)];
    }

    /// <summary>The elements as people number them, from 1: <c>1+3+4</c>; <c>none</c> for the empty set.</summary>
    public override string ToString() => IsEmpty ? "none" : string.Join('+', Indices().Select(k => k + 1));
}
