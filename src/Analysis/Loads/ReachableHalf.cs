namespace LoadTest.Analysis.Loads;

/// <summary>All choices over half the elements, with what each asks of the rest so that it can be reached under load.</summary>
/// <remarks>
/// Elements come in the order of their threshold: the conductance there has to be before the element itself is added. Closing in
/// that order, and opening in the reverse of it, misses nothing, because adding only lowers volts. So a choice over the elements of
/// low threshold asks nothing of those of high threshold but their sums, and every condition is one comparison of two halves.
/// </remarks>
internal sealed class ReachableHalf
{
    /// <summary>Entries that share one set of bounds, so that a scan can pass over them together.</summary>
    public const int Block = 16;

    private readonly double[] _floor;
    private readonly double[] _opening;
    private readonly double[] _standing;

    private ReachableHalf(HalfSums sums)
    {
        Sums = sums;
        var count = sums.Siemens.Length;
        Closed = new double[count];
        Opened = new double[count];
        NeededBefore = new double[count];
        _opening = new double[count];
        _standing = new double[count];
        _floor = new double[count];
    }

    /// <summary>Choices by distance from the present set and then by conductance.</summary>
    public HalfSums Sums { get; }

    /// <summary>Conductance that closes, S.</summary>
    public double[] Closed { get; }

    /// <summary>Conductance that opens, S.</summary>
    public double[] Opened { get; }

    /// <summary>Conductance there has to be, before this half's first closing, for all its closings; infinity for a choice not allowed.</summary>
    public double[] NeededBefore { get; }

    /// <summary>Conductance the target has to have for this half's openings, those of lower threshold being none.</summary>
    public double OpeningNeeds(int entry) => _opening[entry];

    /// <summary>Conductance the target has to have for the continuous ratings of this half's closed elements.</summary>
    public double StandingNeeds(int entry) => _standing[entry];

    /// <summary>Least wear, least <see cref="NeededBefore"/> and least margin of openings and ratings in each block of entries.</summary>
    public BlockBounds[] Bounds { get; private set; } = [];

    /// <summary>Choices over elements renumbered by threshold, from <paramref name="first"/> on.</summary>
    public static ReachableHalf Of(RenumberedBank bank, int first, int count)
    {
        var indices = new int[count];
        for (var k = 0; k < count; k++)
        {
            indices[k] = first + k;
        }

        var half = new ReachableHalf(HalfSums.Of(indices, bank.Siemens, bank.Present, bank.Wear));
        var chains = new Chain[1 << count];
        chains[0] = new Chain(0, 0, double.NegativeInfinity, double.NegativeInfinity, 0);
        for (var k = 0; k < count; k++)
        {
            for (var mask = 0; mask < 1 << k; mask++)
            {
                var chain = chains[mask];
                chains[mask | (1 << k)] = bank.Chosen(first + k, chain);
                chains[mask] = bank.Left(first + k, chain);
            }
        }

        for (var entry = 0; entry < half.Closed.Length; entry++)
        {
            half.Take(entry, chains[half.Sums.Masks[entry] >> first]);
        }

        half.Bounds = half.BoundsOf();
        return half;
    }

    private void Take(int entry, in Chain chain)
    {
        Closed[entry] = chain.Closed;
        Opened[entry] = chain.Opened;
        NeededBefore[entry] = chain.NeededBefore;
        _opening[entry] = chain.Opening;
        _standing[entry] = chain.Standing;
        // Beside any first half: what that half's own sums have to make up.
        _floor[entry] = chain.Standing - Sums.Siemens[entry];
    }

    private BlockBounds[] BoundsOf()
    {
        var bounds = new BlockBounds[(Closed.Length + Block - 1) / Block];
        Array.Fill(
            bounds,
            new BlockBounds(long.MaxValue, double.PositiveInfinity, double.PositiveInfinity, double.PositiveInfinity)
        );
        for (var entry = 0; entry < Closed.Length; entry++)
        {
            ref var bound = ref bounds[entry / Block];
            bound = new BlockBounds(
                Math.Min(bound.Wear, Sums.Wear[entry]),
                Math.Min(bound.NeededBefore, NeededBefore[entry]),
                Math.Min(bound.Opening, _opening[entry] - Sums.Siemens[entry]),
                Math.Min(bound.Standing, _floor[entry])
            );
        }

        return bounds;
    }

    /// <summary>Whether an entry of this half goes with sums of the other, the half of lower thresholds.</summary>
    /// <param name="entry">Entry of this half.</param>
    /// <param name="before">Conductance before this half's first closing: the present set and what the other half closes.</param>
    /// <param name="target">Conductance the other half keeps or closes.</param>
    /// <param name="opened">Conductance the other half opens.</param>
    public bool Allows(int entry, double before, double target, double opened) =>
        NeededBefore[entry] <= before
        && _opening[entry] - Sums.Siemens[entry] <= target + opened
        && _floor[entry] <= target;

    /// <summary>The least of each condition over a block of entries.</summary>
    internal readonly record struct BlockBounds(long Wear, double NeededBefore, double Opening, double Standing);

    /// <summary>Sums and needs of the elements chosen so far, by rising threshold.</summary>
    internal readonly record struct Chain(
        double Closed,
        double Opened,
        double NeededBefore,
        double Opening,
        double Standing
    );
}
