using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>Finds the set of elements for a wanted load: exact, whatever the elements are.</summary>
/// <remarks>
/// Among the sets within the tolerance: least switching from the present set, then evenest wear, then least error. A set
/// counts only if every element stays within its continuous rating at the predicted volts, survives the source's ceiling
/// until the load is off, and can be reached from the present set with no element above its rating on the way.
/// Common practice, no source. Worked: elements 1, 0.5, 0.25 Ω; wanted 0.2 Ω: the first and the third, 0.2 Ω.
/// </remarks>
public static class LoadSolver
{
    /// <summary>The set to close, with what it carries and how to get there; or why nothing fits and what would help.</summary>
    /// <param name="bank">The bank, its elements with the resistances that hold now.</param>
    /// <param name="request">What is wanted, on which source, from where.</param>
    /// <exception cref="ArgumentException">The request contradicts itself; the message says how.</exception>
    public static LoadAnswer Solve(LoadBank bank, LoadRequest request)
    {
        ArgumentNullException.ThrowIfNull(bank);
        ArgumentNullException.ThrowIfNull(request);
        var problem = new LoadProblem(bank, request);
        if (problem.Allowed.IsEmpty)
        {
            return LoadShortfall.NoElement(problem);
        }

        var best = Best(problem);
        if (best is { } found && !request.SwitchedDead && !Reachable(problem, found.Set))
        {
            best = problem.PresentHolds ? new ReachableSearch(problem).Best(found.Distance) : null;
            if (best is null)
            {
                return LoadShortfall.NoOrder(problem, found.Set);
            }
        }

        return best is { } chosen ? Answer(problem, chosen.Set) : LoadShortfall.NoSet(problem);
    }

    private static LoadFound Answer(LoadProblem problem, ElementSet set)
    {
        var bank = problem.Bank;
        var siemens = bank.SiemensOf(set);
        var volts = new Volts(problem.Request.Source.VoltsAt(siemens));
        var order = problem.Request.SwitchedDead
            ? SwitchingOrder.WithOutputDisabled(bank, problem.Request.Present, set)
            : (SwitchingSequence)SwitchingOrder.Find(problem.Check, problem.Request.Present, set);
        return new LoadFound(
            problem.Wanted,
            set,
            bank.ResistanceEstimateOf(set)!.Value,
            1 / siemens / problem.Wanted.Value - 1,
            volts,
            new Amperes(volts.Value * siemens),
            problem.Request.Source.RegulatesAt(siemens),
            [.. set.Indices().Select(index => Loading(problem, index, volts))],
            order
        );
    }

    private static ElementLoading Loading(LoadProblem problem, int index, Volts volts)
    {
        var element = problem.Bank.Elements[index];
        var amperes = volts / element.Resistance;
        return new ElementLoading(
            index,
            element.Id,
            volts,
            amperes,
            volts * amperes,
            volts / element.ContinuousVolts,
            problem.Request.Source.Ceiling / element.VoltsFor(problem.Request.Limits.LoadOff)
        );
    }

    private static Candidate? Best(LoadProblem problem)
    {
        Candidate? best = null;
        foreach (var part in problem.Parts())
        {
            var found = problem.SearchOf(part).Best(part.Low, part.High, problem.Target);
            if (found is { } candidate && !(best is { } present && !candidate.IsBetterThan(present)))
            {
                best = candidate;
            }
        }

        return best;
    }

    private static bool Reachable(LoadProblem problem, ElementSet set) =>
        problem.PresentHolds && SwitchingOrder.Path(problem.Check, problem.Request.Present, set, out _) is not null;
}
