namespace LoadTest.Analysis.Loads;

/// <summary>Exact search over all subsets: least switching, then evenest wear, then least error, within a window.</summary>
/// <remarks>
/// Meet in the middle (Horowitz and Sahni 1974): every subset is one of 2^(n/2) of the first half with one of the second.
/// With the halves grouped by distance from the present set, the least distance that has any pair in the window comes from
/// sliding windows, and so does the least wear at that distance: 2^(n/2)·n steps instead of 2^n. Evenest wear: at a fixed
/// number of switchings, the variance of the counts afterwards is least where the sum of the counts of the switched is.
/// </remarks>
internal sealed class SubsetSearch
{
    private readonly HalfSums _first;
    private readonly HalfSums _second;
    private readonly int _forcedDistance;
    private readonly long _forcedWear;
    private readonly int[] _queue;

    public SubsetSearch(ReadOnlySpan<double> siemens, ElementSet allowed, ElementSet present, ReadOnlySpan<long> wear)
    {
        var indices = allowed.Indices().AsSpan();
        var middle = indices.Length / 2;
        _first = HalfSums.Of(indices[..middle], siemens, present.Mask, wear);
        _second = HalfSums.Of(indices[middle..], siemens, present.Mask, wear);
        _queue = new int[_second.Siemens.Length];
        foreach (var index in present.Except(allowed).Indices())
        {
            _forcedDistance++;
            _forcedWear += wear[index];
        }
    }

    /// <summary>The best subset with low ≤ conductance ≤ high, or null; low is above zero.</summary>
    public Candidate? Best(double low, double high, double target)
    {
        for (var distance = 0; distance <= _first.Size + _second.Size; distance++)
        {
            var wear = LeastWear(distance, low, high);
            if (wear is { } least)
            {
                return LeastError(distance, least, low, high, target);
            }
        }

        return null;
    }

    /// <summary>Greatest conductance below a bound and least above it, among those of at least <paramref name="least"/>.</summary>
    public (double? Below, double? Above) Neighbours(double bound, double least)
    {
        double? below = null;
        double? above = null;
        for (var distance = 0; distance <= _second.Size; distance++)
        {
            foreach (var sum in _first.Siemens)
            {
                var at = HalfSums.LowerBound(
                    _second.Siemens,
                    _second.Starts[distance],
                    _second.Starts[distance + 1],
                    bound - sum
                );
                if (at > _second.Starts[distance] && sum + _second.Siemens[at - 1] is var lower && lower >= least)
                {
                    below = lower > 0 && !(lower <= below) ? lower : below;
                }

                var upper = HalfSums.LowerBound(
                    _second.Siemens,
                    _second.Starts[distance],
                    _second.Starts[distance + 1],
                    Math.Max(bound, least) - sum
                );
                if (upper < _second.Starts[distance + 1])
                {
                    var higher = sum + _second.Siemens[upper];
                    above = !(higher >= above) ? higher : above;
                }
            }
        }

        return (below, above);
    }

    private IEnumerable<(int First, int Second)> Splits(int distance)
    {
        for (var d1 = Math.Max(0, distance - _second.Size); d1 <= Math.Min(_first.Size, distance); d1++)
        {
            yield return (d1, distance - d1);
        }
    }

    private long? LeastWear(int distance, double low, double high)
    {
        long? best = null;
        foreach (var (d1, d2) in Splits(distance))
        {
            var head = 0;
            var tail = 0;
            var next = _second.Starts[d2];
            // The first half falls, so the window on the second rises; the queue keeps its least wear in front.
            for (var a = _first.Starts[d1 + 1] - 1; a >= _first.Starts[d1]; a--)
            {
                var sum = _first.Siemens[a];
                for (; next < _second.Starts[d2 + 1] && sum + _second.Siemens[next] <= high; next++)
                {
                    while (tail > head && _second.Wear[_queue[tail - 1]] >= _second.Wear[next])
                    {
                        tail--;
                    }

                    _queue[tail++] = next;
                }

                while (head < tail && sum + _second.Siemens[_queue[head]] < low)
                {
                    head++;
                }

                if (head < tail && !(best <= _first.Wear[a] + _second.Wear[_queue[head]]))
                {
                    best = _first.Wear[a] + _second.Wear[_queue[head]];
                }
            }
        }

        return best;
    }

    private Candidate? LeastError(int distance, long wear, double low, double high, double target)
    {
        Candidate? best = null;
        foreach (var (d1, d2) in Splits(distance))
        {
            var byWear = new WearIndex(_second, d2);
            for (var a = _first.Starts[d1]; a < _first.Starts[d1 + 1]; a++)
            {
                var (below, above) = byWear.Around(wear - _first.Wear[a], target - _first.Siemens[a]);
                best = Better(best, distance, a, below, low, high, target);
                best = Better(best, distance, a, above, low, high, target);
            }
        }

        return best;
    }

    private Candidate? Better(Candidate? best, int distance, int a, int b, double low, double high, double target)
    {
        if (b < 0 || !(_first.Siemens[a] + _second.Siemens[b] is var sum && sum >= low && sum <= high))
        {
            return best;
        }

        return best is { } present && present.Error <= Math.Abs(target / sum - 1)
            ? best
            : Joined(distance, a, b, target);
    }

    private Candidate Joined(int distance, int a, int b, double target) =>
        new(
            distance + _forcedDistance,
            _first.Wear[a] + _second.Wear[b] + _forcedWear,
            Math.Abs(target / (_first.Siemens[a] + _second.Siemens[b]) - 1),
            new ElementSet(_first.Masks[a] | _second.Masks[b])
        );
}
