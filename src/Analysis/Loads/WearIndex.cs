namespace LoadTest.Analysis.Loads;

/// <summary>Entries of one distance by wear and then conductance, to find the nearest conductance at a given wear.</summary>
internal readonly struct WearIndex
{
    private readonly HalfSums _half;
    private readonly int[] _order;

    public WearIndex(HalfSums half, int distance)
    {
        _half = half;
        var (start, end) = (half.Starts[distance], half.Starts[distance + 1]);
        _order = new int[end - start];
        for (var k = 0; k < _order.Length; k++)
        {
            _order[k] = start + k;
        }

        // Entries come by rising conductance; with one wear for all there is nothing to sort.
        var wear = half.Wear;
        if (wear.AsSpan(start, end - start) is { Length: > 1 } all && all.ContainsAnyExcept(all[0]))
        {
            Array.Sort(_order, (l, r) => wear[l] != wear[r] ? wear[l].CompareTo(wear[r]) : l.CompareTo(r));
        }
    }

    /// <summary>Entries of this wear right below and right above a conductance; −1 where there is none.</summary>
    public (int Below, int Above) Around(long wear, double siemens)
    {
        var low = 0;
        var high = _order.Length;
        while (low < high)
        {
            var middle = low + (high - low) / 2;
            var entry = _order[middle];
            if (_half.Wear[entry] < wear || (_half.Wear[entry] == wear && _half.Siemens[entry] < siemens))
            {
                low = middle + 1;
            }
            else
            {
                high = middle;
            }
        }

        var below = low > 0 && _half.Wear[_order[low - 1]] == wear ? _order[low - 1] : -1;
        var above = low < _order.Length && _half.Wear[_order[low]] == wear ? _order[low] : -1;
        return (below, above);
    }
}
