using System.Collections;
using System.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>Which sets single operations lead to from the present one, where amperes are bounded and neither plain order holds.</summary>
/// <remarks>
/// Only a drooping source that the bench may not load fully comes here: then closing first may draw too much and opening first
/// leave too little. Orders between two bounds are as hard as packing, so every state is looked at, but none twice for any number
/// of targets: at most 2ⁿ of them. Where little can be reached from the present set, that little is listed first and answers for
/// every target.
/// </remarks>
internal sealed class Passages
{
    // States listed from the present set before the search turns round and starts from the targets.
    private const int FewStates = 4096;

    private readonly int _few;

    private readonly RatingCheck _check;
    private readonly double[] _needs;
    private readonly ElementSet _present;
    private readonly BitArray _seen;
    private readonly BitArray _reached;
    private readonly bool _isListed;

    public Passages(LoadProblem problem, double[] needs, int few = FewStates)
    {
        _few = few;
        _check = problem.Check;
        _needs = needs;
        _present = problem.Request.Present;
        _seen = new BitArray(1 << problem.Bank.Elements.Count);
        _reached = new BitArray(_seen.Length);
        _seen[(int)_present.Mask] = true;
        _reached[(int)_present.Mask] = true;
        _isListed = List(problem.Allowed.Union(_present).Mask);
    }

    /// <summary>Whether a bound on amperes can bind in a bank small enough to look at every state.</summary>
    public static bool AreNeeded(LoadProblem problem) =>
        problem.Bank.Elements.Count <= SwitchingSearch.MostDiffering
        && problem.Bank.SiemensOf(problem.Bank.All) > problem.Check.MostSiemens;

    /// <summary>Whether some order leads from the present set to this one, each differing element switched once.</summary>
    public bool LeadTo(ElementSet target)
    {
        if (_isListed)
        {
            return _reached[(int)target.Mask];
        }

        var open = new Stack<uint>();
        open.Push(target.Mask);
        while (open.TryPeek(out var state))
        {
            var isNew = !_seen[(int)state];
            _seen[(int)state] = true;
            if (isNew && !_check.Holds(new ElementSet(state), _needs))
            {
                open.Pop();
                continue;
            }

            if (_reached[(int)state] || Ask(state, open))
            {
                _reached[(int)state] = true;
                open.Pop();
            }
            else if (open.Peek() == state)
            {
                open.Pop();
            }
        }

        return _reached[(int)target.Mask];
    }

    // Every state that single operations lead to; false when there are more than a few: what was seen by then stays known.
    private bool List(uint touchable)
    {
        var open = new Queue<uint>([_present.Mask]);
        var listed = 1;
        while (open.TryDequeue(out var state))
        {
            for (var rest = touchable & ~(state ^ _present.Mask); rest != 0; rest &= rest - 1)
            {
                var next = state ^ (1u << BitOperations.TrailingZeroCount(rest));
                if (_seen[(int)next])
                {
                    continue;
                }

                _seen[(int)next] = true;
                if (!_check.Holds(new ElementSet(next), _needs))
                {
                    continue;
                }

                _reached[(int)next] = true;
                if (++listed > _few)
                {
                    return false;
                }

                open.Enqueue(next);
            }
        }

        return true;
    }

    // True when a state one operation nearer the present set is reached; otherwise puts the first one not seen yet on the stack.
    private bool Ask(uint state, Stack<uint> open)
    {
        for (var rest = state ^ _present.Mask; rest != 0; rest &= rest - 1)
        {
            var before = state ^ (1u << BitOperations.TrailingZeroCount(rest));
            if (_reached[(int)before])
            {
                return true;
            }

            if (!_seen[(int)before])
            {
                open.Push(before);
                return false;
            }
        }

        return false;
    }
}
