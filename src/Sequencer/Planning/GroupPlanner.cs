using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Says which points a measuring step of a profile wants, by the mode's characteristic.</summary>
internal sealed class GroupPlanner(Nameplate nameplate, Circuit circuit, List<Finding> findings)
{
    private static readonly double[] LoadLineParts = [0, 0.25, 0.5, 0.75, 1];
    private static readonly double[] SweepParts = [0.25, 0.5, 0.75, 1];

    public static WantedGroup NoLoad(NoLoadStep step, UnitModel unit) =>
        new(GroupKind.NoLoad, "No load", [new WantedPoint(unit.MinimumSetting, null)], step.Expect, step.Place);

    public WantedGroup? Curve(CurveStep step, SettingMark? mark, UnitModel unit)
    {
        if (CurveSetting(step, mark, unit) is not { } setting)
            return null;
        var lowest = circuit.Bank.ResistanceOf(circuit.Bank.All).Value + circuit.Series;
        var ohms = CurvePoints.Spread(unit, setting, Math.Max(step.Points - 1, 2), lowest);
        if (ohms.Count == 0)
        {
            Error(
                step.Place,
                $"A curve at {Words.Number(unit.Setting(setting))} draws less than the machine's minimum of {Figures.With(unit.Mode.MinimumAmperes.Value, "A", 4)} even at the lowest resistance, {Figures.With(lowest, "Ω", 4)}. Use a higher setting or a bank with more elements."
            );
            return null;
        }
        return new WantedGroup(
            GroupKind.Curve,
            $"Curve at {Words.Number(unit.Setting(setting))}",
            [new WantedPoint(setting, null), .. ohms.Select(r => new WantedPoint(setting, r))],
            step.Expect,
            step.Place
        )
        {
            Tolerance = new ResistanceTolerance(0.02, 0.5),
            IsFlexible = true,
        };
    }

    public WantedGroup? LoadLine(LoadLineStep step, UnitModel unit)
    {
        var settings = step.At.IsEmpty ? [.. LoadLineParts.Select(p => At(unit, p))] : Settings(step.At, unit);
        if (settings is null)
            return null;
        var points = new List<WantedPoint>();
        foreach (var (setting, direction) in Ways(settings, step.BothWays))
        {
            var amperes = OnLine(unit, setting, step.Place);
            points.Add(
                new WantedPoint(
                    setting,
                    unit.LoadLine.Volts(amperes) / amperes is var line && unit.SetsVolts ? setting / amperes : line
                )
                {
                    ReadPanel = step.ReadPanel,
                    Direction = direction,
                }
            );
        }
        return new WantedGroup(GroupKind.LoadLine, "Settings along the load line", points, step.Expect, step.Place);
    }

    public WantedGroup? ShuntSweep(ShuntSweepStep step, UnitModel unit)
    {
        var settings = step.At.IsEmpty
            ? [.. SweepParts.Select(p => unit.SettingFor(p * unit.Mode.RatedAmperes.Value))]
            : Settings(step.At, unit);
        if (settings is null)
            return null;
        var top = settings.Max(s => OnLine(unit, s, step.Place));
        var fixedOhms = unit.LoadLine.Volts(top) / top;
        var zero = new WantedPoint(unit.MinimumSetting, null) { IsZeroReading = true };
        var points = new List<WantedPoint> { zero };
        foreach (var (setting, direction) in Ways(settings, step.BothWays))
        {
            var amperes = OnLine(unit, setting, step.Place);
            var ohms = unit.Mode.Characteristic switch
            {
                Characteristic.ConstantCurrent => fixedOhms,
                Characteristic.ConstantVoltage => setting / amperes,
                _ => unit.LoadLine.Volts(amperes) / amperes,
            };
            points.Add(new WantedPoint(setting, ohms) { ReadPanel = step.ReadPanel, Direction = direction });
        }
        points.Add(zero);
        var keeps = unit.Mode.Characteristic == Characteristic.ConstantCurrent;
        return new WantedGroup(GroupKind.ShuntSweep, "Shunt sweep", points, step.Expect, step.Place)
        {
            // On constant current the resistance only sets the volts, which a sweep of current does not judge.
            Fallback = keeps ? new ResistanceTolerance(0.05, 0.5) : null,
            KeepsElements = keeps,
        };
    }

    public WantedGroup? Hold(HoldStep step, UnitModel unit)
    {
        if (Settings([step.At], unit) is not [var setting])
            return null;
        var amperes = OnLine(unit, setting, step.Place);
        var volts = unit.SetsVolts ? setting : unit.LoadLine.Volts(amperes);
        return new WantedGroup(
            GroupKind.Hold,
            $"Hold {Figures.With(amperes, "A", 4)} for {Figures.Of(step.For.TotalMinutes, 4)} min",
            [new WantedPoint(setting, volts / amperes) { Hold = step.For }],
            step.Expect,
            step.Place
        );
    }

    /// <summary>The on part of a heat run.</summary>
    public WantedGroup? HeatRun(HeatRunStep step, UnitModel unit)
    {
        if (Settings([step.At], unit) is not [var setting])
            return null;
        var amperes = OnLine(unit, setting, step.Place);
        var volts = unit.SetsVolts ? setting : unit.LoadLine.Volts(amperes);
        var duty = step.DutyCycle is { } part
            ? $" at {Figures.Of(part * 100, 3)} % duty cycle, off part: {OffWords(step.OffPart)}"
            : "";
        return new WantedGroup(
            GroupKind.HeatRun,
            $"Heat run at {Figures.With(amperes, "A", 4)}{duty}",
            [new WantedPoint(setting, volts / amperes)],
            step.Expect,
            step.Place
        );
    }

    /// <summary>The load after a sudden change.</summary>
    public WantedGroup? Transient(TransientStep step, UnitModel unit)
    {
        if (Settings([step.At], unit) is not [var setting])
            return null;
        var amperes = OnLine(unit, setting, step.Place);
        var ohms = (unit.SetsVolts ? setting : unit.LoadLine.Volts(amperes)) / amperes;
        return new WantedGroup(
            GroupKind.Transient,
            $"Transient at {Words.Number(unit.Setting(setting))}, {Figures.Of(step.From * 100, 3)} % to {Figures.Of(step.To * 100, 3)} % load",
            [new WantedPoint(setting, step.To > 0 ? ohms / step.To : null)],
            step.Expect,
            step.Place
        )
        {
            Tolerance = new ResistanceTolerance(0.1, 0.5),
        };
    }

    /// <summary>Loads of the auxiliary output alone.</summary>
    public WantedGroup Auxiliary(AuxiliaryStep step, UnitModel unit) =>
        new(
            GroupKind.Auxiliary,
            "Auxiliary load",
            [
                .. step.At.Select(part => new WantedPoint(unit.MinimumSetting, null)
                {
                    AuxiliaryWatts = part * (nameplate.Auxiliary?.Watts.Value ?? 0),
                }),
            ],
            step.Expect,
            step.Place
        );

    /// <summary>Loads of both outputs together, as the nameplate lists them.</summary>
    public WantedGroup? WeldAndAuxiliary(WeldAndAuxiliaryStep step, UnitModel unit)
    {
        var points = new List<WantedPoint>();
        foreach (var row in nameplate.Auxiliary?.WithWeld ?? [])
        {
            if (Settings([new Amount(row.Weld.Value, Unit.Ampere, null, step.Place)], unit) is not [var setting])
                return null;
            var amperes = OnLine(unit, setting, step.Place);
            var volts = unit.SetsVolts ? setting : unit.LoadLine.Volts(amperes);
            points.Add(new WantedPoint(setting, volts / amperes) { AuxiliaryWatts = row.Watts.Value });
        }
        return new WantedGroup(
            GroupKind.WeldAndAuxiliary,
            "Weld and auxiliary load together",
            points,
            step.Expect,
            step.Place
        );
    }

    private static string OffWords(OffPart part) => part == OffPart.ControlAtMinimum ? "control at minimum" : "no load";

    private double? CurveSetting(CurveStep step, SettingMark? mark, UnitModel unit)
    {
        if (step.Setting is { } amount)
            return Settings([amount], unit) is [var one] ? one : null;
        if (mark?.Mark is { } part)
            return At(unit, part);
        if (mark?.Amount is { } given)
            return Settings([given], unit) is [var one] ? one : null;
        Error(
            step.Place,
            "This curve has no setting. Give it one, such as \"setting: maximum setting\", or put it inside \"for each: control setting\"."
        );
        return null;
    }

    /// <summary>Settings of the control for these amounts: amperes or volts, whichever is not the control's unit by the load line.</summary>
    private double[]? Settings(IReadOnlyList<Amount> at, UnitModel unit)
    {
        var settings = new double[at.Count];
        var isComplete = true;
        for (var k = 0; k < at.Count; k++)
        {
            if (Setting(at[k], unit) is { } setting && IsWithinControl(at[k], setting, unit))
                settings[k] = setting;
            else
                isComplete = false;
        }
        return isComplete ? settings : null;
    }

    private double? Setting(Amount amount, UnitModel unit)
    {
        var quantity = AmountResolver.Resolve(amount, nameplate, unit.Mode);
        double? setting = quantity switch
        {
            { Unit: var u, Value: var v } when u == unit.SettingUnit => v,
            { Unit: Unit.Ampere, Value: var amperes } => unit.SettingFor(amperes),
            { Unit: Unit.Volt, Value: var volts } => unit.LoadLine.Amperes(volts),
            _ => null,
        };
        if (setting is null)
        {
            Error(
                amount.Place,
                $"This setting cannot be worked out for mode {unit.Mode.Name}, whose control is set in {Words.For(unit.SettingUnit)} and whose load line is {unit.LoadLine}. Give it in {Words.For(unit.SettingUnit)} or as a percentage of rated current."
            );
        }
        return setting;
    }

    private bool IsWithinControl(Amount amount, double setting, UnitModel unit)
    {
        const double slack = 1e-9;
        if (setting >= unit.MinimumSetting * (1 - slack) && setting <= unit.MaximumSetting * (1 + slack))
            return true;
        var side = setting < unit.MinimumSetting ? "below the machine's minimum" : "above the machine's maximum";
        Error(
            amount.Place,
            $"A setting of {Words.Number(unit.Setting(setting))} is {side}: the control of mode {unit.Mode.Name} goes from {Words.Number(unit.Mode.MinimumSetting)} to {Words.Number(unit.Mode.MaximumSetting)}. Choose a setting inside it."
        );
        return false;
    }

    /// <summary>Amperes on the load line at a setting, kept between the machine's minimum and rated current with a note.</summary>
    private double OnLine(UnitModel unit, double setting, Place place)
    {
        var line = unit.AmperesFor(setting) ?? 0;
        if (!unit.SetsVolts)
            return line;
        var amperes = Math.Clamp(line, unit.Mode.MinimumAmperes.Value, unit.Mode.RatedAmperes.Value);
        if (amperes != line)
        {
            var note = new Finding(
                place,
                Severity.Note,
                $"At {Figures.With(setting, "V", 4)} the load line {unit.LoadLine} asks for {Figures.With(line, "A", 4)}, outside the machine's {Figures.With(unit.Mode.MinimumAmperes.Value, "A", 4)} to {Figures.With(unit.Mode.RatedAmperes.Value, "A", 4)}; the point is taken at {Figures.With(amperes, "A", 4)}, off the line."
            );
            if (!findings.Contains(note))
                findings.Add(note);
        }
        return amperes;
    }

    private static double At(UnitModel unit, double part) =>
        unit.MinimumSetting + part * (unit.MaximumSetting - unit.MinimumSetting);

    private static IEnumerable<(double Setting, int Direction)> Ways(IReadOnlyList<double> settings, bool bothWays)
    {
        var rising = settings.Order().ToArray();
        foreach (var setting in rising)
            yield return (setting, bothWays ? 1 : 0);
        if (!bothWays)
            yield break;
        foreach (var setting in rising.Reverse())
            yield return (setting, -1);
    }

    private void Error(Place place, string message) => findings.Add(new Finding(place, Severity.Error, message));
}
