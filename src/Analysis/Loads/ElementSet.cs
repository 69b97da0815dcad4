using System.Collections.Immutable;
using System.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>A set of load-bank elements, element k as bit k, at most 32 of them.</summary>
/// <param name="Mask">Bit k set means element k (counted from 0) is in the set.</param>
public readonly record struct ElementSet(uint Mask)
{
    /// <summary>Most elements one bank may hold here.</summary>
    public const int Capacity = 32;

    /// <summary>No element: the bank open.</summary>
    public static ElementSet None => default;

    /// <summary>How many elements are in the set.</summary>
    public int Count => BitOperations.PopCount(Mask);

    /// <summary>Whether no element is in the set.</summary>
    public bool IsEmpty => Mask == 0;

    /// <summary>The first <paramref name="count"/> elements, 0 to 32.</summary>
    public static ElementSet First(int count)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, Capacity);
        return new(count == Capacity ? uint.MaxValue : (1u << count) - 1);
    }

    /// <summary>The set of exactly these elements (counted from 0).</summary>
    public static ElementSet Of(params ReadOnlySpan<int> indices)
    {
        var set = None;
        foreach (var index in indices)
        {
            set = set.With(index);
        }

        return set;
    }

    /// <summary>Whether element <paramref name="index"/> (from 0) is in the set.</summary>
    public bool Contains(int index) => (Mask & BitAt(index)) != 0;

    /// <summary>The set with element <paramref name="index"/> (from 0) added.</summary>
    public ElementSet With(int index) => new(Mask | BitAt(index));

    /// <summary>The set with element <paramref name="index"/> (from 0) taken out.</summary>
    public ElementSet Without(int index) => new(Mask & ~BitAt(index));

    /// <summary>Elements in either set.</summary>
    public ElementSet Union(ElementSet other) => new(Mask | other.Mask);

    /// <summary>Elements in both sets.</summary>
    public ElementSet Intersect(ElementSet other) => new(Mask & other.Mask);

    /// <summary>Elements of this set that the other does not hold.</summary>
    public ElementSet Except(ElementSet other) => new(Mask & ~other.Mask);

    /// <summary>Elements to switch to go from this set to the other.</summary>
    public ElementSet Difference(ElementSet other) => new(Mask ^ other.Mask);

    /// <summary>Whether the other set holds every element of this one.</summary>
    public bool IsWithin(ElementSet other) => (Mask & ~other.Mask) == 0;

    /// <summary>The elements' indices from 0, rising.</summary>
    public ImmutableArray<int> Indices()
    {
        var indices = ImmutableArray.CreateBuilder<int>(Count);
        for (var rest = Mask; rest != 0; rest &= rest - 1)
        {
            indices.Add(BitOperations.TrailingZeroCount(rest));
        }

        return indices.MoveToImmutable();
    }

    /// <summary>The elements as people number them, from 1: <c>1+3+4</c>; <c>none</c> for the empty set.</summary>
    public override string ToString() => IsEmpty ? "none" : string.Join('+', Indices().Select(k => k + 1));

    private static uint BitAt(int index)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(index);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Capacity);
        return 1u << index;
    }
}
