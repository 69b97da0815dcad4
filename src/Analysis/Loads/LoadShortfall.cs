using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>Says why nothing fits, and what would help.</summary>
internal static class LoadShortfall
{
    public static LoadNotFound NoElement(LoadProblem problem)
    {
        if (problem.Usable.IsEmpty)
        {
            return new(
                problem.Wanted,
                "No element of the bank is in service.",
                "Put elements back in service.",
                null,
                null
            );
        }

        var limits = problem.Request.Limits;
        var strongest = problem
            .Usable.Indices()
            .Select(p => problem.Bank.Elements[p])
            .MaxBy(e => e.VoltsFor(limits.LoadOff).Value)!;
        return new(
            problem.Wanted,
            $"No element bears the source's ceiling of {problem.Request.Source.Ceiling} for the "
                + $"{Figures.Of(limits.LoadOff.TotalSeconds, 4)} s to load off; the strongest, {strongest.Id}, bears "
                + $"{strongest.VoltsFor(limits.LoadOff)}.",
            "Use a bank rated for the source's ceiling, or shorten the time to load off within the short-time rating.",
            null,
            null
        );
    }

    public static LoadNotFound NoOrder(LoadProblem problem, ElementSet set)
    {
        var plan = SwitchingOrder.Find(problem.Check, problem.Request.Present, set);
        var (reason, help) = plan is NoSwitchingSequence none ? (none.Reason, none.Help) : ("", "");
        var achieved = problem.Bank.ResistanceOf(set);
        return new(
            problem.Wanted,
            $"{problem.Bank.NamesOf(set)} makes {achieved}, but cannot be reached under load: {reason}",
            help,
            achieved < problem.Wanted ? achieved : null,
            achieved < problem.Wanted ? null : achieved
        );
    }

    public static LoadNotFound NoSet(LoadProblem problem)
    {
        var (below, above) = Nearest(problem);
        var all = problem.Bank.ResistanceOf(problem.Usable);
        var rated = RatingReason(problem);
        var reason =
            rated
            ?? (
                problem.Wanted < all && above is { } least
                    ? $"{problem.Wanted} was wanted; every usable element together makes {least}."
                    : $"{problem.Wanted} was wanted; no set of the {problem.Allowed.Count} usable elements is within "
                        + $"{Tolerance(problem)}."
            );
        var help = rated is null
            ? "Ask for one of the nearest resistances, allow a wider tolerance, or bring more elements into service."
            : "Lower the setting or the ceiling, ask for a lower resistance, or use a bank with a higher rating.";
        return new(problem.Wanted, $"{reason} {Named(below, above)}", help, below, above);
    }

    private static string Tolerance(LoadProblem problem) =>
        $"{Figures.With(1 / problem.High, "Ω")} to {Figures.With(1 / problem.Low, "Ω")}";

    private static string Named(Ohms? below, Ohms? above) =>
        (below, above) switch
        {
            ({ } low, { } high) => $"The nearest within every rating are {low} and {high}.",
            ({ } low, null) => $"The nearest within every rating is {low}.",
            (null, { } high) => $"The nearest within every rating is {high}.",
            _ => "No set at all is within every rating on this source.",
        };

    /// <summary>Names what is overloaded by the best set that would fit but for the ratings, or null when none would.</summary>
    private static string? RatingReason(LoadProblem problem)
    {
        var smallest = problem.Usable.Indices().Min(index => 1 / problem.Bank.Elements[index].Resistance.Value);
        var (low, high) = problem.Request.Tolerance.Window(problem.Wanted, smallest);
        var part = new LoadProblem.Part(problem.Usable, Math.Max(low, double.Epsilon), high);
        var fitting = problem.SearchOf(part).Best(part.Low, part.High, problem.Target);
        return fitting is { } free && SwitchingRefusal.Of(problem.Check, free.Set, "fitting") is { } refusal
            ? $"{problem.Wanted} could be made with {problem.Bank.NamesOf(free.Set)}, but not within the ratings. "
                + refusal.Reason
            : null;
    }

    private static (Ohms? Below, Ohms? Above) Nearest(LoadProblem problem)
    {
        double? less = null;
        double? more = null;
        foreach (var part in problem.AllParts())
        {
            var (below, above) = problem.SearchOf(part).Neighbours(problem.Target, part.Low);
            less = below is { } b && !(b <= less) ? b : less;
            more = above is { } a && a <= part.High && !(a >= more) ? a : more;
        }

        // More siemens are fewer ohms.
        return (more is { } m ? new Ohms(1 / m) : null, less is { } l ? new Ohms(1 / l) : null);
    }
}
