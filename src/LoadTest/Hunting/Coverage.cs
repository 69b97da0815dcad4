using System.Collections.Immutable;

namespace LoadTest.Hunting;

/// <summary>Which faults happened in which stages of a run, alone and in unordered pairs.</summary>
/// <remarks>Alone: the only mishap of its run. A pair: two different kinds, the second before the load was confirmed off for good,
/// counted in the stage of the first. Not safe for several threads at once.</remarks>
internal sealed class Coverage
{
    private static readonly int Kinds = MishapKind.All.Length;
    private static readonly int Stages = Enum.GetValues<RunStage>().Length;
    private static readonly Dictionary<string, int> Index = MishapKind
        .All.Index()
        .ToDictionary(k => k.Item.Name, k => k.Index, StringComparer.Ordinal);

    private readonly int[,] _alone = new int[Kinds, Stages];
    private readonly int[,,] _pairs = new int[Kinds, Kinds, Stages];

    /// <summary>Unordered pairs of different kinds times stages.</summary>
    public static int PairCells => Kinds * (Kinds - 1) / 2 * Stages;

    /// <summary>Kinds times stages.</summary>
    public static int SingleCells => Kinds * Stages;

    /// <summary>How many pairs happened at least once in a stage.</summary>
    public int PairsSeen { get; private set; }

    /// <summary>How many kinds happened at least once alone in a stage.</summary>
    public int SinglesSeen { get; private set; }

    /// <summary>Counts what happened in one run.</summary>
    public void Add(ImmutableArray<Strike> strikes)
    {
        if (strikes is [var only])
        {
            if (_alone[Index[only.Kind.Name], (int)only.Stage]++ == 0)
                SinglesSeen++;
            return;
        }
        for (var a = 0; a < strikes.Length; a++)
        {
            for (var b = a + 1; b < strikes.Length; b++)
                AddPair(Index[strikes[a].Kind.Name], Index[strikes[b].Kind.Name], (int)strikes[a].Stage);
        }
    }

    /// <summary>How often this kind happened alone in this stage.</summary>
    public int Alone(int kind, RunStage stage) => _alone[kind, (int)stage];

    /// <summary>With how many of the other kinds this one made a pair in this stage.</summary>
    public int Partners(int kind, RunStage stage)
    {
        var partners = 0;
        for (var other = 0; other < Kinds; other++)
        {
            if (other != kind && _pairs[Math.Min(kind, other), Math.Max(kind, other), (int)stage] > 0)
                partners++;
        }
        return partners;
    }

    private void AddPair(int one, int other, int stage)
    {
        if (one != other && _pairs[Math.Min(one, other), Math.Max(one, other), stage]++ == 0)
            PairsSeen++;
    }
}
