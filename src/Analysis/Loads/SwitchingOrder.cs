using System.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>Order in which elements are switched so that none exceeds its rating in any state passed through.</summary>
/// <remarks>
/// On constant current and drooping sources volts fall as elements close: what closes does so before anything opens, the
/// strongest first and the weakest last. On constant voltage amperes rise as elements close: what opens does so first.
/// A state passed through is judged by the short-time rating only if the whole sequence fits in its seconds. In every
/// state the source's ceiling has to be survived until the load is off. Each differing element is switched once.
/// Worked: 300 A, ceiling 80 V, from 0.2 Ω (60 V) to another 0.2 Ω: closing first passes 0.1 Ω at 30 V; opening first
/// would pass an open bank. Common practice, no source.
/// </remarks>
public static class SwitchingOrder
{
    /// <summary>Sequence of single operations from one set to another under this source, or why there is none.</summary>
    /// <param name="bank">The bank.</param>
    /// <param name="from">Elements closed now.</param>
    /// <param name="to">Elements to be closed.</param>
    /// <param name="source">The live source.</param>
    /// <param name="limits">Times and amperes of the bench.</param>
    public static SwitchingPlan Find(
        LoadBank bank,
        ElementSet from,
        ElementSet to,
        SourceCharacteristic source,
        SwitchingLimits limits
    )
    {
        ArgumentNullException.ThrowIfNull(bank);
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(limits);
        bank.CheckWithin(from);
        bank.CheckWithin(to);
        return Find(new RatingCheck(bank, source, limits), from, to);
    }

    /// <summary>Sequence with the output disabled and proved dead: closings, then openings, in the order of indices.</summary>
    public static SwitchingSequence WithOutputDisabled(LoadBank bank, ElementSet from, ElementSet to)
    {
        ArgumentNullException.ThrowIfNull(bank);
        bank.CheckWithin(from);
        bank.CheckWithin(to);
        return Described(bank, null, from, [.. to.Except(from).Indices(), .. from.Except(to).Indices()]);
    }

    internal static SwitchingPlan Find(RatingCheck check, ElementSet from, ElementSet to)
    {
        foreach (var (state, name) in new[] { (from, "present"), (to, "wanted") })
        {
            if (SwitchingRefusal.Of(check, state, name) is { } refusal)
            {
                return refusal;
            }
        }

        var path = Path(check, from, to, out var proved);
        return path is null
            ? SwitchingRefusal.OfOrder(check, from, to, proved)
            : Described(check.Bank, check.Source, from, path);
    }

    /// <summary>Size in the order they are switched, or null; both ends hold their ratings already.</summary>
    internal static IReadOnlyList<int>? Path(RatingCheck check, ElementSet from, ElementSet to, out bool proved)
    {
        proved = true;
        var closing = to.Except(from);
        var opening = from.Except(to);
        var needs = check.Passing(closing.Count + opening.Count);
        var closeFirst = check.Source is not ConstantVoltage;
        var path = closeFirst
            ? CloseFirst(check, needs, from, to, closing, opening)
            : OpenFirst(check, needs, from, to, closing, opening);
        if (path is not null)
        {
            return path;
        }

        // Without a bound on amperes more closed elements only ever help, and closing first is then the best there is.
        if (check.Bank.SiemensOf(from.Union(to)) <= check.MostSiemens)
        {
            return closeFirst ? null : CloseFirst(check, needs, from, to, closing, opening);
        }

        return SwitchingSearch.Run(check, needs, from, to, out proved);
    }

    private static List<int>? CloseFirst(
        RatingCheck check,
        double[] needs,
        ElementSet from,
        ElementSet to,
        ElementSet closing,
        ElementSet opening
    ) =>
        Grow(check, needs, from, closing) is { } first && Grow(check, needs, to, opening) is { } second
            ? [.. first, .. second.AsEnumerable().Reverse()]
            : null;

    private static List<int>? OpenFirst(
        RatingCheck check,
        double[] needs,
        ElementSet from,
        ElementSet to,
        ElementSet closing,
        ElementSet opening
    )
    {
        var common = from.Intersect(to);
        return
            check.Holds(common, needs)
            && Grow(check, needs, common, opening) is { } first
            && Grow(check, needs, common, closing) is { } second
            ? [.. first.AsEnumerable().Reverse(), .. second]
            : null;
    }

    /// <summary>Order in which elements can be added one by one, strongest first, or null when one cannot.</summary>
    /// <remarks>Adding only lowers volts, so whatever can be added now can be: the greedy order misses nothing.</remarks>
    private static List<int>? Grow(RatingCheck check, double[] needs, ElementSet start, ElementSet added)
    {
        var order = new List<int>(added.Count);
        var siemens = check.Bank.SiemensOf(start);
        while (!added.IsEmpty)
        {
            var best = -1;
            for (var rest = added.Mask; rest != 0; rest &= rest - 1)
            {
                var index = BitOperations.TrailingZeroCount(rest);
                var after = siemens + check.Bank.Siemens[index];
                var holds = needs[index] <= after * (1 + RatingCheck.Slack) && after <= check.MostSiemens;
                if (holds && (best < 0 || IsStronger(check, needs, index, best)))
                {
                    best = index;
                }
            }

            if (best < 0)
            {
                return null;
            }

            order.Add(best);
            siemens += check.Bank.Siemens[best];
            added = added.Without(best);
        }

        return order;
    }

    private static bool IsStronger(RatingCheck check, double[] needs, int index, int other) =>
        needs[index] != needs[other]
            ? needs[index] < needs[other]
            : check.Bank.Siemens[index] > check.Bank.Siemens[other];

    private static SwitchingSequence Described(
        LoadBank bank,
        SourceCharacteristic? source,
        ElementSet from,
        IReadOnlyList<int> path
    )
    {
        var operations = new SwitchingOperation[path.Count];
        var state = from;
        for (var k = 0; k < path.Count; k++)
        {
            var closes = !state.Contains(path[k]);
            state = closes ? state.With(path[k]) : state.Without(path[k]);
            var siemens = bank.SiemensOf(state);
            var volts = source?.VoltsAt(siemens) ?? 0;
            operations[k] = new(path[k], bank.Elements[path[k]].Id, closes, state, new(volts), new(volts * siemens));
        }

        return new SwitchingSequence(operations);
    }
}
