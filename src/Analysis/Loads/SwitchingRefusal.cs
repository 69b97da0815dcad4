namespace LoadTest.Analysis.Loads;

/// <summary>Why a state or an order of switching is refused, in words.</summary>
internal static class SwitchingRefusal
{
    private const string SwitchDead = "Disable the output, prove it dead, switch, and enable it again.";

    /// <summary>Why a set may not stand under this source, or null when it may.</summary>
    public static NoSwitchingSequence? Of(RatingCheck check, ElementSet set, string name)
    {
        var doomed = set.Except(check.SurvivesCeiling);
        if (!doomed.IsEmpty)
        {
            var element = check.Bank.Elements[doomed.Indices().First()];
            return new NoSwitchingSequence(
                $"The {name} set holds element {element.Id}, which bears {element.VoltsFor(check.Limits.LoadOff)} for the "
                    + $"{Figures.Of(check.Limits.LoadOff.TotalSeconds, 4)} s to load off; the source's ceiling is {check.Source.Ceiling}.",
                "Leave the element out, or shorten the time to load off within its short-time rating."
            );
        }

        if (check.Holds(set, check.Standing))
        {
            return null;
        }

        var siemens = check.Bank.SiemensOf(set);
        var volts = check.Source.VoltsAt(siemens);
        if (siemens > check.MostSiemens)
        {
            return new NoSwitchingSequence(
                $"The {name} set draws {Figures.With(volts * siemens, "A")}; the bench allows {check.Limits.MostAmperes}.",
                "Ask for a higher resistance."
            );
        }

        var weakest = check.Bank.Elements[set.Indices().MaxBy(p => check.Standing[p])];
        return new NoSwitchingSequence(
            $"The {name} set puts {Figures.With(volts, "V")} on element {weakest.Id}, rated {weakest.ContinuousVolts} continuously.",
            "Lower the setting, or close more or stronger elements. " + SwitchDead
        );
    }

    /// <summary>Why no order leads from one set to the other.</summary>
    public static NoSwitchingSequence OfOrder(RatingCheck check, ElementSet from, ElementSet to, bool proved)
    {
        var ways = $"from {check.Bank.NamesOf(from)} to {check.Bank.NamesOf(to)}";
        var reason = proved
            ? $"Every order of single operations {ways} passes a state in which an element is above its rating"
            : $"No order of single operations {ways} was found; {from.Difference(to).Count} elements differ, too many to try all";
        var source = $" on a {check.Source.Name} source with a ceiling of {check.Source.Ceiling}";
        var bound = check.Limits.MostAmperes is { } most ? $", or the bench carries more than {most}." : ".";
        return new NoSwitchingSequence(reason + source + bound, SwitchDead);
    }
}
