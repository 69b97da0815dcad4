using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Walks a profile and lays down planned steps, keeping track of where control and bank stand.</summary>
internal sealed class PlanBuilder
{
    private readonly LoadProfile _profile;
    private readonly Nameplate _nameplate;
    private readonly List<Finding> _findings;
    private readonly PointPlanner _points;
    private readonly LongPlanner _long;
    private readonly GroupPlanner _wanted;
    private readonly EnergisePlanner _energise;
    private readonly LimitResolver _limits;
    private readonly Bench _bench;
    private readonly List<PlannedStep> _steps = [];
    private readonly List<PointGroup> _groups = [];
    private UnitModel? _unit;
    private Position _position;
    private bool _isTouched;

    public PlanBuilder(LoadProfile profile, Nameplate nameplate, Circuit circuit, List<Finding> findings)
    {
        _profile = profile;
        _nameplate = nameplate;
        _bench = circuit.Bench;
        _findings = findings;
        var trips = new TripPlanner(profile, nameplate, circuit);
        var states = new StatePlanner(circuit, trips);
        var auxiliary = new AuxiliaryPlanner(nameplate, circuit.Bench, trips, findings);
        _points = new PointPlanner(states, auxiliary, new StepDurations(profile, circuit), findings);
        _long = new LongPlanner(states, auxiliary, circuit, findings);
        _wanted = new GroupPlanner(nameplate, circuit, findings);
        _energise = new EnergisePlanner(circuit, states, findings);
        _limits = new LimitResolver(
            profile,
            nameplate,
            new ResultPrediction(nameplate, new MeterPrediction(circuit.Bench))
        );
    }

    public ImmutableArray<PlannedStep> Steps => [.. _steps];

    public ImmutableArray<PointGroup> Groups => [.. _groups];

    private int Next => _steps.Count + 1;

    public void Walk(ImmutableArray<ProfileStep> steps) => Walk(steps, new Setting(null, Condition.AsIs, null));

    private sealed record Setting(SettingMark? Mark, Condition Condition, string? PointsName);

    private void Walk(ImmutableArray<ProfileStep> steps, Setting setting)
    {
        foreach (var step in steps)
            Add(step, setting);
    }

    private void Add(ProfileStep step, Setting setting)
    {
        switch (step)
        {
            case ForEachStep each:
                foreach (var mark in each.At)
                    Walk(each.Do, setting with { Mark = mark });
                break;
            case MeasureStep measure:
                Measure(measure, setting);
                break;
            case EnergiseStep energise:
                Energise(energise);
                break;
            case CoolDownStep cool:
                CoolDown(cool);
                break;
            case InspectStep or ByHandStep or QuestionStep or AdjustStep:
                Ask(step);
                break;
            default:
                Group(step, setting);
                break;
        }
    }

    private void Measure(MeasureStep step, Setting setting)
    {
        if (_profile.Points.TryGetValue(step.Points, out var points))
            Walk(points, setting with { Condition = step.Condition, PointsName = step.Points });
        else
            Error(step.Place, $"There is no points block \"{step.Points}\". Name one that stands under \"points\".");
    }

    private void Ask(ProfileStep step)
    {
        var (kind, title, unit) = step switch
        {
            InspectStep s => (AskKind.Inspect, s.Text, Unit.One),
            QuestionStep s => (AskKind.YesNo, s.Text, Unit.One),
            ByHandStep s => (AskKind.Number, s.Text, s.Unit),
            AdjustStep s => (AskKind.Adjust, s.Text, Unit.One),
            _ => throw new ArgumentException($"{step.GetType().Name} asks nobody.", nameof(step)),
        };
        var hand = step as ByHandStep;
        var meter = hand is null ? null : HandMeters.Find(hand, _bench, _findings);
        var limit = hand?.Expect is { } expect
            ? _limits.Resolve(
                expect,
                _unit?.Mode ?? _nameplate.Modes[0],
                [],
                _findings,
                meter is null ? null : value => MeterPrediction.ByHand(meter, value)
            )
            : null;
        _steps.Add(new AskStep(Next, title, kind, unit, limit, meter, step.Place));
        Unload();
        _isTouched |= kind == AskKind.Adjust;
    }

    private void Energise(EnergiseStep step)
    {
        var mode = step.Mode is null
            ? _nameplate.Modes[0]
            : _nameplate.Modes.FirstOrDefault(m => string.Equals(m.Name, step.Mode, StringComparison.Ordinal));
        if (mode is null)
        {
            var known = string.Join(", ", _nameplate.Modes.Select(m => m.Name));
            Error(step.Place, $"The nameplate has no mode \"{step.Mode}\". It has: {known}.");
            return;
        }
        if (step.Mode is null && _nameplate.Modes.Length > 1)
        {
            _findings.Add(
                new Finding(
                    step.Place,
                    Severity.Note,
                    $"No mode is named; the unit is started in the nameplate's first, {mode.Name}."
                )
            );
        }
        Energise(new UnitModel(mode), $"Energise in {mode.Name}", step.Place);
    }

    private void Energise(UnitModel unit, string title, Place place)
    {
        _unit = unit;
        _isTouched = false;
        Unload();
        if (_energise.Plan(Next, title, unit, place) is not { } planned)
            return;
        _steps.Add(planned);
        // The proving load stays on: the next step switches from there.
        _position = _position with
        {
            Elements = planned.Proving.Elements,
        };
    }

    private void CoolDown(CoolDownStep step)
    {
        _steps.Add(
            new CoolDownStepPlan(Next, "Cool down", step.For ?? _bench.Bank.CoolDown, step.Place)
            {
                To = step.To,
                AtMost = step.AtMost,
            }
        );
        _unit = null;
    }

    private void Group(ProfileStep step, Setting setting)
    {
        if (LiveUnit(step) is not { } unit)
            return;
        var group = step switch
        {
            NoLoadStep s => GroupPlanner.NoLoad(s, unit),
            CurveStep s => _wanted.Curve(s, setting.Mark, unit),
            LoadLineStep s => _wanted.LoadLine(s, unit),
            ShuntSweepStep s => _wanted.ShuntSweep(s, unit),
            HoldStep s => _wanted.Hold(s, unit),
            HeatRunStep s => _wanted.HeatRun(s, unit),
            TransientStep s => _wanted.Transient(s, unit),
            AuxiliaryStep s => _wanted.Auxiliary(s, unit),
            WeldAndAuxiliaryStep s => _wanted.WeldAndAuxiliary(s, unit),
            _ => throw new ArgumentException($"{step.GetType().Name} has no place in a plan.", nameof(step)),
        };
        if (group is null)
            return;
        var title = setting.Condition switch
        {
            Condition.AsFound => $"{group.Title}, as found",
            Condition.AsLeft => $"{group.Title}, as left",
            _ => group.Title,
        };
        Points(step, group with { Title = title }, unit, setting);
    }

    /// <summary>The unit in the mode this step measures in, energised again after an adjustment; null with a finding.</summary>
    private UnitModel? LiveUnit(ProfileStep step)
    {
        if (_unit is null)
        {
            Error(
                step.Place,
                "The output is not live here. Put \"energise\" before this step, and again after a cool-down."
            );
            return null;
        }
        if (ModeOf(step) is { } name && !string.Equals(name, _unit.Mode.Name, StringComparison.Ordinal))
        {
            Error(
                step.Place,
                $"This step measures in mode {name}, but the unit is energised in {_unit.Mode.Name}. Put \"energise\" with that mode before it."
            );
            return null;
        }
        if (_isTouched)
            Energise(_unit, $"Energise again in {_unit.Mode.Name} after the adjustment", step.Place);
        return _unit;
    }

    private static string? ModeOf(ProfileStep step) =>
        step switch
        {
            CurveStep s => s.Mode,
            LoadLineStep s => s.Mode,
            ShuntSweepStep s => s.Mode,
            HoldStep s => s.Mode,
            HeatRunStep s => s.Mode,
            TransientStep s => s.Mode,
            WeldAndAuxiliaryStep s => s.Mode,
            _ => null,
        };

    private void Points(ProfileStep step, WantedGroup group, UnitModel unit, Setting setting)
    {
        var number = _groups.Count + 1;
        var before = _position;
        var planned = Longer(step, unit, before, _points.Plan(group, unit, number, Next, ref _position));
        _steps.AddRange(planned);
        var predicted = planned
            .Where(p => !p.IsZeroReading)
            .Select(p => new PredictedPoint(
                p.State.Setting.Value,
                p.State.PredictedVolts.Value,
                p.State.PredictedAmperes.Value
            ))
            .ToArray();
        var limits = group
            .Expect.Select(e => _limits.Resolve(e, unit.Mode, predicted, _findings))
            .OfType<ResolvedLimit>();
        var made = new PointGroup(
            number,
            group.Kind,
            group.Title,
            unit.Mode,
            setting.Condition,
            setting.PointsName,
            [.. limits]
        );
        _groups.Add(made);
        VerdictChecks.Check(made, planned, _nameplate, _findings);
    }

    /// <summary>The points, with what makes them a heat run or a transient; none when that cannot be had.</summary>
    private IReadOnlyList<PointStep> Longer(
        ProfileStep step,
        UnitModel unit,
        Position before,
        IReadOnlyList<PointStep> planned
    )
    {
        if (planned is not [var point])
            return planned;
        var changed = step switch
        {
            HeatRunStep s => _long.Heat(point, s, unit, ref _position),
            TransientStep s => _long.Transient(point, s, unit, before),
            _ => point,
        };
        return changed is null ? [] : [changed];
    }

    private void Unload()
    {
        if (_unit is not null)
            _position = new Position(_unit.MinimumSetting, ElementSet.None);
    }

    private void Error(Place place, string message) => _findings.Add(new Finding(place, Severity.Error, message));
}
