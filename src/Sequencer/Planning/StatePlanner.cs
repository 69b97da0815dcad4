using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.Sequencer.Planning;

/// <summary>Where control and bank stand before a step.</summary>
/// <param name="Setting">Setting of the control.</param>
/// <param name="Elements">Elements on.</param>
internal readonly record struct Position(double Setting, ElementSet Elements)
{
    /// <summary>AC elements on.</summary>
    public ElementSet Auxiliary { get; init; }
}

/// <summary>A state that can be reached within every rating, or why there is none.</summary>
/// <param name="State">The state; null when there is none.</param>
/// <param name="Reason">Why there is none; empty with a state.</param>
/// <param name="Help">What would help.</param>
/// <param name="Nearest">Total resistances at the studs that can be had instead, Ω.</param>
internal sealed record StateAnswer(BenchState? State, string Reason, string Help, ImmutableArray<double> Nearest);

/// <summary>Works out one state: elements, switching order, prediction, control-lost case and trips.</summary>
internal sealed class StatePlanner(Circuit circuit, TripPlanner trips)
{
    /// <summary>Every element off at this setting.</summary>
    public StateAnswer Open(UnitModel unit, double setting, Position from)
    {
        var order =
            from.Elements.IsEmpty || setting <= unit.MinimumSetting
                ? TransitionOrder.SettingFirst
                : TransitionOrder.ThroughMinimum;
        var moves = SwitchingOrder.Find(
            circuit.Bank,
            from.Elements,
            ElementSet.None,
            unit.Worst(unit.MinimumSetting, regulates: true),
            circuit.Limits
        );
        return moves switch
        {
            SwitchingSequence sequence => Within(unit, from, State(unit, setting, ElementSet.None, sequence, order)),
            NoSwitchingSequence none => new StateAnswer(null, none.Reason, none.Help, []),
            _ => throw new InvalidOperationException("A switching plan is a sequence or the reason for none."),
        };
    }

    /// <summary>Exactly these elements at this setting.</summary>
    public StateAnswer Exactly(UnitModel unit, double setting, ElementSet elements, Position from) =>
        Loaded(unit, setting, circuit.TotalOf(elements), from, new ResistanceTolerance(1e-9, 0), elements);

    /// <summary>A resistance at the studs at this setting.</summary>
    /// <param name="unit">The unit in its mode.</param>
    /// <param name="setting">Setting of the control.</param>
    /// <param name="totalOhms">Wanted total resistance at the studs, Ω.</param>
    /// <param name="from">Where control and bank stand before.</param>
    /// <param name="tolerance">How far the resistance may be off.</param>
    /// <param name="usable">Elements that may be closed; null for all.</param>
    public StateAnswer Loaded(
        UnitModel unit,
        double setting,
        double totalOhms,
        Position from,
        ResistanceTolerance tolerance,
        ElementSet? usable = null
    )
    {
        if (circuit.BankFor(totalOhms) is not { } wanted)
        {
            return new StateAnswer(
                null,
                $"{Figures.With(totalOhms, "Ω", 4)} at the studs were wanted; leads and reference shunt alone are {Figures.With(circuit.Series, "Ω", 4)}.",
                "Use shorter or thicker leads.",
                []
            );
        }

        var order = setting > from.Setting ? TransitionOrder.ElementsFirst : TransitionOrder.SettingFirst;
        var regulates = unit.RegulatesInto(setting, totalOhms);
        if (TooMuch(unit.Worst(setting, regulates).AmperesInto(new Ohms(totalOhms)).Value) is { } tooMuch)
            return tooMuch;
        LoadNotFound? first = null;
        // By its nameplate the unit stays below the regulated characteristic and below the ceiling line: keeping either is enough.
        foreach (var bound in new[] { unit.Worst(setting, regulates), unit.Worst(setting, !regulates) })
        {
            switch (Solve(unit, wanted, bound, setting, from, tolerance, usable))
            {
                case (LoadFound found, var moves):
                    return Within(unit, from, State(unit, setting, found.Set, moves ?? found.Order, order));
                case (LoadNotFound none, _):
                    first ??= none;
                    break;
            }
        }
        return new StateAnswer(
            null,
            first!.Reason,
            first.Help,
            [.. new[] { first.NearestBelow, first.NearestAbove }.OfType<Ohms>().Select(r => r.Value + circuit.Series)]
        );
    }

    /// <summary>Says which part of the path the current is too much for, setting tolerance included; null when none.</summary>
    private StateAnswer? TooMuch(double amperes)
    {
        var (leads, shunt) = (circuit.Bench.Leads.DutyAmperes.Value, circuit.Bench.ReferenceShunt.RatedAmperes.Value);
        var most = Math.Min(leads, shunt);
        var what = leads <= shunt ? "leads" : "reference shunt";
        return amperes <= most * (1 + 1e-9)
            ? null
            : new StateAnswer(
                null,
                $"The current in the {what} may reach {Figures.With(amperes, "A", 4)} with the setting's tolerance, rated {Figures.With(most, "A", 4)}.",
                leads <= shunt ? "Use thicker leads or a lower setting." : "Use a larger shunt or a lower setting.",
                []
            );
    }

    /// <summary>A set for this resistance, and the moves at the lower setting where elements move before the control.</summary>
    private (LoadAnswer Answer, SwitchingSequence? Moves) Solve(
        UnitModel unit,
        Ohms wanted,
        SourceCharacteristic bound,
        double setting,
        Position from,
        ResistanceTolerance tolerance,
        ElementSet? usable
    )
    {
        var request = new LoadRequest(new WantedResistance(wanted), bound, circuit.Limits)
        {
            Present = from.Elements,
            Tolerance = tolerance,
            Usable = usable,
        };
        if (from.Setting >= setting)
            return (LoadSolver.Solve(circuit.Bank, request), null);
        var free = LoadSolver.Solve(circuit.Bank, request with { SwitchedDead = true });
        if (free is LoadFound found && MovesAt(unit, from, found.Set) is SwitchingSequence moves)
            return (found, moves);
        return (free is LoadFound ? LoadSolver.Solve(circuit.Bank, request) : free, null);
    }

    private SwitchingPlan MovesAt(UnitModel unit, Position from, ElementSet to) =>
        SwitchingOrder.Find(
            circuit.Bank,
            from.Elements,
            to,
            unit.Worst(from.Setting, unit.RegulatesInto(from.Setting, circuit.TotalOf(to))),
            circuit.Limits
        );

    private BenchState State(
        UnitModel unit,
        double setting,
        ElementSet elements,
        SwitchingSequence moves,
        TransitionOrder order
    )
    {
        var total = circuit.TotalOf(elements);
        var isOpen = elements.IsEmpty;
        var regulates = isOpen ? unit.SetsVolts : unit.RegulatesInto(setting, total);
        var amperes = isOpen ? 0 : unit.AmperesInto(setting, total);
        return new BenchState(
            unit.Mode,
            unit.Setting(setting),
            elements,
            [.. moves.Operations.Select(o => o.After)],
            order,
            isOpen ? null : circuit.Bank.ResistanceOf(elements),
            new Volts(isOpen ? unit.OpenVolts(setting) : amperes * total),
            new Amperes(amperes),
            isOpen ? "bank open, volts by the nameplate" : unit.Words(setting, regulates),
            isOpen ? null : ControlLost(unit, elements, total),
            trips.For(unit.Mode, elements, amperes),
            trips.Passing(unit.Mode)
        );
    }

    private ControlLostCase ControlLost(UnitModel unit, ElementSet elements, double total)
    {
        var (volts, amperes) = unit.ControlLost(total);
        var bankVolts = volts - amperes * circuit.Series;
        var weakest = elements.Indices().Min(k => circuit.Bank.Elements[k].VoltsFor(circuit.Limits.LoadOff).Value);
        return new ControlLostCase(
            new Volts(bankVolts),
            new Amperes(amperes),
            circuit.Limits.LoadOff,
            bankVolts / weakest
        );
    }

    /// <summary>The state, unless the bank's power is exceeded on the way: elements move at the lower setting.</summary>
    private StateAnswer Within(UnitModel unit, Position from, BenchState state)
    {
        var moving =
            state.Order == TransitionOrder.ThroughMinimum
                ? unit.MinimumSetting
                : Math.Min(from.Setting, state.Setting.Value);
        var most = circuit.Bench.Bank.TotalWatts.Value;
        foreach (var set in state.Switching.Where(s => !s.IsEmpty))
        {
            var amperes = unit.AmperesInto(moving, circuit.TotalOf(set));
            var watts = amperes * amperes * circuit.Bank.ResistanceOf(set).Value;
            if (watts > most * (1 + 1e-9))
            {
                return new StateAnswer(
                    null,
                    $"On the way, with {set} closed, power in the bank would be {Figures.With(watts, "W", 4)}, rated {Figures.With(most, "W", 4)}.",
                    "Use a larger bank or a lower setting.",
                    []
                );
            }
        }
        return new StateAnswer(state, "", "", []);
    }
}
