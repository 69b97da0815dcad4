using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Works out the points of one group, each from where the one before leaves control and bank.</summary>
internal sealed class PointPlanner(
    StatePlanner states,
    AuxiliaryPlanner auxiliary,
    StepDurations durations,
    List<Finding> findings
)
{
    private const int LeastOfCurve = 3;

    /// <summary>The points that can be had; what cannot is a finding.</summary>
    /// <param name="group">What is wanted.</param>
    /// <param name="unit">The unit in its mode.</param>
    /// <param name="number">Number of the group.</param>
    /// <param name="firstStep">Number of its first step.</param>
    /// <param name="position">Where control and bank stand before, and after.</param>
    public IReadOnlyList<PointStep> Plan(
        WantedGroup group,
        UnitModel unit,
        int number,
        int firstStep,
        ref Position position
    )
    {
        var planned = new List<PointStep>();
        var taken = new HashSet<ElementSet>();
        var kept = group.KeepsElements ? Kept(group, unit) : null;
        if (group.KeepsElements && kept is null)
            return planned;
        for (var index = 0; index < group.Points.Count; index++)
        {
            if (State(group, index, unit, kept, taken, position) is not { } bare)
                continue;
            var wanted = group.Points[index];
            if (auxiliary.Elements(wanted.AuxiliaryWatts, group.Place) is not { } ac)
                continue;
            var state = auxiliary.With(bare, position, ac);
            planned.Add(Point(group, wanted, state, number, firstStep + planned.Count, planned.Count));
            position = new Position(wanted.Setting, state.Elements) { Auxiliary = ac };
        }
        if (group.IsFlexible && planned.Count < LeastOfCurve)
        {
            Error(
                group,
                $"{group.Title}: only {planned.Count} of {group.Points.Count} points can be had on this bank; a curve needs {LeastOfCurve}. Use a bank with more elements or higher ratings."
            );
        }
        return planned;
    }

    /// <summary>The elements for the highest setting, which every lower one keeps; null with an error when there are none.</summary>
    private ElementSet? Kept(WantedGroup group, UnitModel unit)
    {
        var top = group.Points.Where(p => p.TotalOhms is not null).MaxBy(p => p.Setting)!;
        var answer = Loaded(group, top, unit, new Position(unit.MinimumSetting, ElementSet.None));
        if (answer.State is null)
            Error(group, $"{group.Title}, {Where(unit, top)}: {answer.Reason} {answer.Help}");
        return answer.State?.Elements;
    }

    private StateAnswer Loaded(WantedGroup group, WantedPoint wanted, UnitModel unit, Position from)
    {
        var ohms = wanted.TotalOhms!.Value;
        var answer = states.Loaded(unit, wanted.Setting, ohms, from, group.Tolerance);
        return answer.State is null && group.Fallback is { } wider
            ? states.Loaded(unit, wanted.Setting, ohms, from, wider)
            : answer;
    }

    private BenchState? State(
        WantedGroup group,
        int index,
        UnitModel unit,
        ElementSet? kept,
        HashSet<ElementSet> taken,
        Position from
    )
    {
        var wanted = group.Points[index];
        if (wanted.TotalOhms is null)
        {
            var open = states.Open(unit, wanted.Setting, from);
            if (open.State is null)
                Error(group, $"{group.Title}: the bank cannot be opened under load. {open.Reason} {open.Help}");
            return open.State;
        }
        var answer = kept is { } elements
            ? states.Exactly(unit, wanted.Setting, elements, from)
            : Loaded(group, wanted, unit, from);
        if (group.IsFlexible)
            return Flexible(group, index, unit, answer, taken, from);
        if (answer.State is null)
            Error(group, $"{group.Title}, {Where(unit, wanted)}: {answer.Reason} {answer.Help}");
        return answer.State;
    }

    /// <summary>The state itself, else the nearest one between its neighbours, else nothing and a warning.</summary>
    private BenchState? Flexible(
        WantedGroup group,
        int index,
        UnitModel unit,
        StateAnswer answer,
        HashSet<ElementSet> taken,
        Position from
    )
    {
        var wanted = group.Points[index];
        var next = index + 1 < group.Points.Count ? group.Points[index + 1].TotalOhms ?? 0 : 0;
        var before = index > 0 ? group.Points[index - 1].TotalOhms ?? double.PositiveInfinity : double.PositiveInfinity;
        var state = answer.State;
        foreach (var near in answer.Nearest.Where(r => r > next && r < before))
            state ??= states.Loaded(unit, wanted.Setting, near, from, new ResistanceTolerance(1e-6, 0)).State;
        if (state is not null && taken.Add(state.Elements))
            return state;
        findings.Add(
            new Finding(
                group.Place,
                Severity.Warning,
                answer.State is not null
                    ? $"{group.Title}: point {index + 1} falls on the same elements as one before it and is left out. Fewer points or a bank with finer steps would help."
                    : $"{group.Title}: point {index + 1}, {Where(unit, wanted)}, is left out. {answer.Reason} {answer.Help}"
            )
        );
        return null;
    }

    private static string Where(UnitModel unit, WantedPoint wanted)
    {
        var ohms = wanted.TotalOhms!.Value;
        var amperes = unit.AmperesInto(wanted.Setting, ohms);
        return $"{Figures.With(amperes * ohms, "V", 3)} and {Figures.With(amperes, "A", 3)}";
    }

    internal PointStep Point(WantedGroup group, WantedPoint wanted, BenchState state, int number, int step, int index)
    {
        var direction = wanted.Direction switch
        {
            > 0 => ", rising",
            < 0 => ", falling",
            _ => "",
        };
        var what =
            wanted.IsZeroReading ? $"zero reading {(index == 0 ? "before" : "after")}"
            : !state.Auxiliary.IsEmpty && state.Elements.IsEmpty
                ? $"auxiliary {Figures.Of(state.AuxiliaryPower.Value / 1000, 3)} kW"
            : !state.Auxiliary.IsEmpty
                ? $"{Figures.With(state.PredictedAmperes.Value, "A", 3)} and auxiliary {Figures.Of(state.AuxiliaryPower.Value / 1000, 3)} kW"
            : state.Elements.IsEmpty && group.Kind == GroupKind.Auxiliary ? "no auxiliary load"
            : state.Elements.IsEmpty ? "open"
            : $"{Figures.With(state.PredictedVolts.Value, "V", 3)}, {Figures.With(state.PredictedAmperes.Value, "A", 3)}{direction}";
        return new PointStep(
            step,
            group.Kind == GroupKind.NoLoad ? group.Title : $"{group.Title}: {what}",
            number,
            index,
            state,
            wanted.Hold,
            wanted.IsZeroReading,
            wanted.ReadPanel,
            wanted.Direction,
            durations.Of(state, wanted.Hold),
            group.Place
        );
    }

    private void Error(WantedGroup group, string message) =>
        findings.Add(new Finding(group.Place, Severity.Error, message));
}
