using LoadTest.Analysis.Loads;

namespace LoadTest.AnalysisTests.Loads;

/// <summary>The rule of the solver said once more in the plainest way: every set, every order.</summary>
internal static class BruteForce
{
    public static Candidate? Best(LoadBank bank, LoadRequest request)
    {
        var wanted = request.Target.ResistanceOn(request.Source).Value;
        var usable = request.Usable ?? bank.All;
        var able = usable.Indices().Where(p => Survives(bank, request, p)).ToArray();
        if (able.Length == 0)
        {
            return null;
        }

        var step = able.Min(p => 1 / bank.Elements[p].Resistance.Value) / 2;
        Candidate? best = null;
        for (var bits = 1u; bits <= bank.All.Mask; bits++)
        {
            var set = new ElementSet(bits);
            var ohms = bank.ResistanceOf(set).Value;
            var near =
                Math.Abs(ohms / wanted - 1) <= 0.002 * (1 + 1e-6)
                || Math.Abs(1 / ohms - 1 / wanted) <= step * (1 + 1e-9);
            if (!near || !set.Indices().All(able.Contains) || !Within(bank, request, set, TimeSpan.MaxValue))
            {
                continue;
            }

            var switched = set.Difference(request.Present);
            var wear = switched.Indices().Sum(p => request.WearCounts?[p] ?? 0);
            var candidate = new Candidate(switched.Count, wear, Math.Abs(ohms / wanted - 1), set);
            if (
                (best is not { } b || candidate.IsBetterThan(b))
                && (request.SwitchedDead || HasOrder(bank, request, set))
            )
            {
                best = candidate;
            }
        }

        return best;
    }

    /// <summary>Whether any order of single operations holds, by walking every state between the two sets.</summary>
    public static bool HasOrder(LoadBank bank, LoadRequest request, ElementSet target)
    {
        if (
            !Within(bank, request, request.Present, TimeSpan.MaxValue)
            || !request.Present.Indices().All(p => Survives(bank, request, p))
        )
        {
            return false;
        }

        var duration = request.Limits.PerOperation * request.Present.Difference(target).Count;
        var reached = new HashSet<ElementSet> { request.Present };
        var open = new Stack<ElementSet>(reached);
        while (open.TryPop(out var state))
        {
            foreach (var index in state.Difference(target).Indices())
            {
                var next = state.Contains(index) ? state.Without(index) : state.With(index);
                if (!reached.Contains(next) && Within(bank, request, next, duration))
                {
                    reached.Add(next);
                    open.Push(next);
                }
            }
        }

        return reached.Contains(target);
    }

    /// <summary>Whether a set may stand for good: its continuous ratings hold and every element survives the ceiling.</summary>
    public static bool Stands(LoadBank bank, LoadRequest request, ElementSet set) =>
        Within(bank, request, set, TimeSpan.MaxValue) && set.Indices().All(p => Survives(bank, request, p));

    public static void AssertWithin(LoadBank bank, LoadRequest request, ElementSet state, TimeSpan duration) =>
        Assert.True(Within(bank, request, state, duration), $"{state} on {request.Source} for {duration}");

    private static bool Survives(LoadBank bank, LoadRequest request, int index)
    {
        var element = bank.Elements[index];
        var brief = element.ShortTime is { } s && request.Limits.LoadOff <= s.For ? s.Volts.Value : 0;
        return request.Source.Ceiling.Value <= Math.Max(Continuous(element), brief) * (1 + 1e-8);
    }

    private static bool Within(LoadBank bank, LoadRequest request, ElementSet state, TimeSpan duration)
    {
        if (state.IsEmpty)
        {
            return true;
        }

        var ohms = bank.ResistanceOf(state);
        var volts = request.Source.VoltsOn(ohms).Value;
        var amperes = request.Source.AmperesInto(ohms).Value;
        return !(amperes > request.Limits.MostAmperes?.Value * (1 + 1e-8))
            && state
                .Indices()
                .Select(p => bank.Elements[p])
                .All(e =>
                    volts <= Continuous(e) * (1 + 1e-8)
                    || (e.ShortTime is { } s && duration <= s.For && volts <= s.Volts.Value * (1 + 1e-8))
                );
    }

    private static double Continuous(LoadElement element)
    {
        var ohms = element.Resistance.Value;
        var limits = new[]
        {
            element.RatedVolts?.Value,
            element.RatedAmperes?.Value * ohms,
            element.RatedWatts is { } watts ? Math.Sqrt(watts.Value * ohms) : null,
        };
        return limits.Min() ?? double.PositiveInfinity;
    }
}
