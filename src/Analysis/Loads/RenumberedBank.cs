namespace LoadTest.Analysis.Loads;

/// <summary>The elements a switching can touch, renumbered by the conductance each needs before it is added.</summary>
internal sealed class RenumberedBank
{
    // Looser than the check of ratings itself, so that rounding in another order of sums hides nothing; the check decides.
    private const double Looseness = 1 + (RatingCheck.Slack * 1.001);

    private readonly int[] _indices;
    private readonly double[] _threshold;
    private readonly double[] _standing;
    private readonly uint _allowed;

    public RenumberedBank(LoadProblem problem, double[] needs)
    {
        var present = problem.Request.Present;
        var touched = problem.Allowed.Union(present).Indices();
        _indices = [.. touched.OrderBy(index => (needs[index] / Looseness) - problem.Bank.Siemens[index])];
        var count = _indices.Length;
        Siemens = new double[count];
        Wear = new long[count];
        _threshold = new double[count];
        _standing = new double[count];
        for (var k = 0; k < count; k++)
        {
            var index = _indices[k];
            Siemens[k] = problem.Bank.Siemens[index];
            Wear[k] = problem.Wear[index];
            _threshold[k] = (needs[index] / Looseness) - Siemens[k];
            _standing[k] = problem.Check.Standing[index] / Looseness;
            Present |= present.Contains(index) ? 1u << k : 0;
            _allowed |= problem.Allowed.Contains(index) ? 1u << k : 0;
        }
    }

    public int Count => _indices.Length;

    public double[] Siemens { get; }

    public long[] Wear { get; }

    /// <summary>Bits of the elements closed now.</summary>
    public uint Present { get; }

    /// <summary>The chain with element k closed in the target.</summary>
    public ReachableHalf.Chain Chosen(int k, in ReachableHalf.Chain chain)
    {
        if ((_allowed >> k & 1) == 0)
        {
            return chain with { NeededBefore = double.PositiveInfinity };
        }

        var standing = Math.Max(chain.Standing, _standing[k]);
        return (Present >> k & 1) != 0
            ? chain with
            {
                Standing = standing,
            }
            : chain with
            {
                Standing = standing,
                NeededBefore = Math.Max(chain.NeededBefore, _threshold[k] - chain.Closed),
                Closed = chain.Closed + Siemens[k],
            };
    }

    /// <summary>The chain with element k open in the target.</summary>
    public ReachableHalf.Chain Left(int k, in ReachableHalf.Chain chain) =>
        (Present >> k & 1) == 0
            ? chain
            : chain with
            {
                Opening = Math.Max(chain.Opening, _threshold[k] - chain.Opened),
                Opened = chain.Opened + Siemens[k],
            };

    /// <summary>The set of the bank that these bits stand for.</summary>
    public ElementSet SetOf(uint bits)
    {
        var set = ElementSet.None;
        for (var k = 0; k < _indices.Length; k++)
        {
            set = (bits >> k & 1) != 0 ? set.With(_indices[k]) : set;
        }

        return set;
    }
}
