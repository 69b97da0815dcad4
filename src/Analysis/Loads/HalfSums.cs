using System.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>All subsets of half the elements, by distance from the present set and then by conductance.</summary>
internal sealed class HalfSums
{
    private HalfSums(int count, int indices)
    {
        Siemens = new double[count];
        Masks = new uint[count];
        Wear = new long[count];
        Starts = new int[indices + 2];
        Size = indices;
    }

    /// <summary>Conductance of each subset, S; rising within a distance.</summary>
    public double[] Siemens { get; }

    /// <summary>Bits of each subset, at the indices of the bank.</summary>
    public uint[] Masks { get; }

    /// <summary>Sum of the wear counts of the elements that would switch.</summary>
    public long[] Wear { get; }

    /// <summary>First entry of each distance; one more at the end.</summary>
    public int[] Starts { get; }

    /// <summary>How many elements this half has; the greatest distance.</summary>
    public int Size { get; }

    /// <summary>First entry from <paramref name="start"/> to before <paramref name="end"/> whose value is not below a bound.</summary>
    public static int LowerBound(double[] values, int start, int end, double bound)
    {
        while (start < end)
        {
            var middle = start + (end - start) / 2;
            if (values[middle] < bound)
            {
                start = middle + 1;
            }
            else
            {
                end = middle;
            }
        }

        return start;
    }

    /// <summary>Sums of all subsets: each element merges the list with itself moved up, so that no sort is needed.</summary>
    public static HalfSums Of(
        ReadOnlySpan<int> indices,
        ReadOnlySpan<double> siemens,
        uint present,
        ReadOnlySpan<long> wear
    )
    {
        var count = 1 << indices.Length;
        var sums = new double[count];
        var masks = new uint[count];
        var nextSums = new double[count];
        var nextMasks = new uint[count];
        var size = 1;
        foreach (var index in indices)
        {
            MergeMoved(sums, masks, size, siemens[index], 1u << index, nextSums, nextMasks);
            (sums, nextSums) = (nextSums, sums);
            (masks, nextMasks) = (nextMasks, masks);
            size *= 2;
        }

        return Bucketed(indices, sums, masks, present, wear);
    }

    private static void MergeMoved(
        double[] sums,
        uint[] masks,
        int size,
        double step,
        uint bit,
        double[] target,
        uint[] targetMasks
    )
    {
        var plain = 0;
        var moved = 0;
        for (var k = 0; k < 2 * size; k++)
        {
            if (moved == size || (plain < size && sums[plain] <= sums[moved] + step))
            {
                target[k] = sums[plain];
                targetMasks[k] = masks[plain++];
            }
            else
            {
                target[k] = sums[moved] + step;
                targetMasks[k] = masks[moved++] | bit;
            }
        }
    }

    private static HalfSums Bucketed(
        ReadOnlySpan<int> indices,
        double[] sums,
        uint[] masks,
        uint present,
        ReadOnlySpan<long> wear
    )
    {
        var half = new HalfSums(sums.Length, indices.Length);
        var inHalf = masks.Length == 1 ? 0u : ElementSet.Of(indices).Mask;
        var was = present & inHalf;
        foreach (var mask in masks)
        {
            half.Starts[BitOperations.PopCount(mask ^ was) + 1]++;
        }

        for (var d = 1; d < half.Starts.Length; d++)
        {
            half.Starts[d] += half.Starts[d - 1];
        }

        var free = (int[])half.Starts.Clone();
        for (var k = 0; k < masks.Length; k++)
        {
            var at = free[BitOperations.PopCount(masks[k] ^ was)]++;
            half.Siemens[at] = sums[k];
            half.Masks[at] = masks[k];
            half.Wear[at] = WearOf(masks[k] ^ was, wear);
        }

        return half;
    }

    private static long WearOf(uint switched, ReadOnlySpan<long> wear)
    {
        long sum = 0;
        for (; switched != 0; switched &= switched - 1)
        {
            sum += wear[BitOperations.TrailingZeroCount(switched)];
        }

        return sum;
    }
}
