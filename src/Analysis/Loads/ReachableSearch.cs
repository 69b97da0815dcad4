namespace LoadTest.Analysis.Loads;

/// <summary>Exact search for the best set that can be reached under load, when the best of all cannot.</summary>
/// <remarks>
/// Meet in the middle as in <see cref="SubsetSearch"/>, the halves split by threshold so that ratings on the way are comparisons of
/// sums (<see cref="ReachableHalf"/>). Pairs are looked at only within the window of conductance: for elements that all differ from
/// none that is at most the number of sets of half the elements (Erdős 1945, on a lemma of Littlewood and Offord), 2.7 million of
/// 24, sixteen at a time. What passes is checked by the rules of <see cref="SwitchingOrder"/> itself.
/// </remarks>
internal sealed class ReachableSearch
{
    private readonly LoadProblem _problem;
    private readonly double _siemens;
    private double[]? _needs;
    private RenumberedBank _bank = null!;
    private ReachableHalf _first = null!;
    private ReachableHalf _second = null!;
    private Passages? _passages;

    public ReachableSearch(LoadProblem problem)
    {
        _problem = problem;
        _siemens = problem.Bank.SiemensOf(problem.Request.Present);
    }

    /// <summary>The best set from this distance on, or null when none can be reached.</summary>
    public Candidate? Best(int distance)
    {
        for (; distance <= _problem.Bank.Elements.Count; distance++)
        {
            Prepare(_problem.Check.Passing(distance));
            if (BestAt(distance) is { } found)
            {
                return found;
            }
        }

        return null;
    }

    // Times passed through grow with the number of operations, so short-time ratings fall away step by step.
    private void Prepare(double[] needs)
    {
        if (_needs is not null && needs.AsSpan().SequenceEqual(_needs))
        {
            return;
        }

        _needs = needs;
        _bank = new RenumberedBank(_problem, needs);
        var middle = _bank.Count / 2;
        _first = ReachableHalf.Of(_bank, 0, middle);
        _second = ReachableHalf.Of(_bank, middle, _bank.Count - middle);
        _passages = Passages.AreNeeded(_problem) ? new Passages(_problem, needs) : null;
    }

    private Candidate? BestAt(int distance)
    {
        Candidate? best = null;
        var (least, most) = (Math.Max(0, distance - _second.Sums.Size), Math.Min(_first.Sums.Size, distance));
        for (var d1 = least; d1 <= most; d1++)
        {
            var (start, end) = (_first.Sums.Starts[d1], _first.Sums.Starts[d1 + 1]);
            for (var a = start; a < end; a++)
            {
                if (_first.NeededBefore[a] <= _siemens)
                {
                    best = BestBeside(best, a, distance, distance - d1);
                }
            }
        }

        return best;
    }

    private Candidate? BestBeside(Candidate? best, int a, int distance, int d2)
    {
        var own = _first.Sums.Siemens[a];
        var before = _siemens + _first.Closed[a];
        var opened = _first.Opened[a];
        var low = Math.Max(_problem.Low, Math.Max(_first.OpeningNeeds(a), _first.StandingNeeds(a))) - own;
        var sums = _second.Sums;
        var end = sums.Starts[d2 + 1];
        var b = HalfSums.LowerBound(sums.Siemens, sums.Starts[d2], end, low);
        while (b < end && own + sums.Siemens[b] <= _problem.High)
        {
            var after = Math.Min(end, (b / ReachableHalf.Block + 1) * ReachableHalf.Block);
            if (CanHoldBetter(best, a, b, after, before, opened))
            {
                for (; b < after && own + sums.Siemens[b] <= _problem.High; b++)
                {
                    if (_second.Allows(b, before, own, opened))
                    {
                        best = Better(best, a, b, distance);
                    }
                }
            }

            b = after;
        }

        return best;
    }

    private bool CanHoldBetter(Candidate? best, int a, int b, int after, double before, double opened)
    {
        var own = _first.Sums.Siemens[a];
        ref readonly var bounds = ref _second.Bounds[b / ReachableHalf.Block];
        if (bounds.NeededBefore > before || bounds.Opening > own + opened || bounds.Standing > own)
        {
            return false;
        }

        if (best is not { } present)
        {
            return true;
        }

        var wear = _first.Sums.Wear[a] + bounds.Wear;
        if (wear != present.Wear)
        {
            return wear < present.Wear;
        }

        var (low, high) = (own + _second.Sums.Siemens[b], own + _second.Sums.Siemens[after - 1]);
        return ErrorOf(Math.Clamp(_problem.Target, low, high)) < present.Error;
    }

    private Candidate? Better(Candidate? best, int a, int b, int distance)
    {
        var wear = _first.Sums.Wear[a] + _second.Sums.Wear[b];
        if (wear > best?.Wear)
        {
            return best;
        }

        var error = ErrorOf(_first.Sums.Siemens[a] + _second.Sums.Siemens[b]);
        if (wear == best?.Wear && error >= best.Value.Error)
        {
            return best;
        }

        var set = _bank.SetOf(_first.Sums.Masks[a] | _second.Sums.Masks[b]);
        return IsReachable(set) ? new Candidate(distance, wear, error, set) : best;
    }

    private double ErrorOf(double siemens) => Math.Abs((_problem.Target / siemens) - 1);

    private bool IsReachable(ElementSet set)
    {
        if (set.IsEmpty || !_problem.Check.Holds(set, _problem.Check.Standing))
        {
            return false;
        }

        return _passages is { } passages
            ? passages.LeadTo(set)
            : SwitchingOrder.Path(_problem.Check, _problem.Request.Present, set, out _) is not null;
    }
}
