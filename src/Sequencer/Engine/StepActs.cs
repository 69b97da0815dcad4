using System.Collections.Immutable;
using System.Numerics;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>Which acts a step consists of, given how unit and bank stand when it begins.</summary>
internal static class StepActs
{
    /// <summary>After a change the new state's limits guard at the latest after this time.</summary>
    private static readonly TimeSpan TransitionWithin = TimeSpan.FromSeconds(1.5);

    /// <summary>Time a fan is given to move air before the first element closes.</summary>
    private static readonly TimeSpan FanSpinUp = TimeSpan.FromSeconds(3);

    /// <summary>Below this part of the predicted volts the source has collapsed: idle speed alone leaves two thirds.</summary>
    private const double LeastPart = 0.25;

    /// <summary>What a bank's communication watchdog may be late by.</summary>
    private static readonly TimeSpan WatchdogMargin = TimeSpan.FromSeconds(0.5);

    /// <summary>How long a gate passed at the running engine holds.</summary>
    private static readonly TimeSpan GateHolds = TimeSpan.FromMinutes(30);

    /// <summary>Volts below zero that a dead output may show by meter offset.</summary>
    private const double DeadOutputVolts = 5;

    public static ImmutableArray<Act> For(RunPlan plan, PlannedStep step, RunState state)
    {
        var acts = ImmutableArray.CreateBuilder<Act>();
        switch (step)
        {
            case AskStep ask:
                Unload(acts, plan, state);
                if (ask.Kind == AskKind.Adjust)
                    StopEngine(acts, state);
                acts.Add(AskOf(ask));
                break;
            case EnergiseStepPlan energise:
                Unload(acts, plan, state);
                Energise(acts, plan, energise, state);
                break;
            case PointStep { Heat: not null } heat:
                Reach(acts, plan, state, heat, heat.State);
                acts.Add(Guard(heat.State));
                acts.Add(new HeatAct(heat));
                break;
            case PointStep { Transient: { } transient } sudden:
                Reach(acts, plan, state, sudden, transient.From);
                acts.Add(Guard(transient.From));
                acts.Add(new SettleAct(sudden));
                Change(acts, sudden, transient);
                acts.Add(new SettleAct(sudden));
                acts.Add(new MeasureAct(sudden));
                break;
            case PointStep point:
                Reach(acts, plan, state, point, point.State);
                acts.Add(Guard(point.State));
                acts.Add(new SettleAct(point));
                if (point.ReadPanel)
                    ReadPanel(acts);
                acts.Add(new MeasureAct(point));
                break;
            case CoolDownStepPlan cool:
                Unload(acts, plan, state);
                acts.Add(new FanAct(true));
                acts.Add(new WaitAct(cool.For));
                if (!cool.To.IsEmpty)
                    acts.Add(new CoolAct(cool));
                acts.Add(new FanAct(false));
                StopEngine(acts, state);
                break;
            default:
                throw new ArgumentException($"The run machine knows no step {step.GetType().Name}.", nameof(step));
        }
        return acts.DrainToImmutable();
    }

    /// <summary>To the off part of a heat run, and the rest.</summary>
    public static ImmutableArray<Act> HeatOff(PointStep point, RunState state, bool isLast)
    {
        var acts = ImmutableArray.CreateBuilder<Act>();
        Rest(acts, point, state, isLast);
        return acts.DrainToImmutable();
    }

    /// <summary>To the on part of a heat run again.</summary>
    public static ImmutableArray<Act> HeatOn(PointStep point, RunState state)
    {
        var acts = ImmutableArray.CreateBuilder<Act>();
        Move(acts, point.Heat!.Again!, state.Elements, state.Setting);
        acts.Add(Guard(point.Heat.Again!));
        acts.Add(new HeatAct(point));
        return acts.DrainToImmutable();
    }

    /// <summary>The hot point, and the last rest where there is a duty cycle.</summary>
    public static ImmutableArray<Act> HeatEnd(PointStep point, RunState state)
    {
        var acts = ImmutableArray.CreateBuilder<Act>();
        acts.Add(new SettleAct(point));
        acts.Add(new MeasureAct(point));
        if (point.Heat!.Off is not null)
            Rest(acts, point, state, isLast: true);
        return acts.DrainToImmutable();
    }

    private static void Rest(ImmutableArray<Act>.Builder acts, PointStep point, RunState state, bool isLast)
    {
        var off = point.Heat!.Off!;
        Move(acts, off, state.Elements, state.Setting);
        acts.Add(Guard(off));
        acts.Add(new HeatRestAct(point, isLast));
    }

    /// <summary>The sudden change of load, sampled from before to after.</summary>
    private static void Change(ImmutableArray<Act>.Builder acts, PointStep point, TransientPlan transient)
    {
        acts.Add(new SampleAct(transient.Channel, transient.Every));
        acts.Add(new WaitAct(TransientPlan.Before));
        acts.Add(new GuardAct(point.State.Passing, TimeSpan.Zero));
        acts.Add(new SwitchAct(point.State.All));
        acts.Add(new WaitAct(transient.After));
        acts.Add(new SampleAct(null, TimeSpan.Zero));
        acts.Add(Guard(point.State));
    }

    /// <summary>What remains to be done after the last step: nothing, when a cool-down has done it.</summary>
    public static ImmutableArray<Act> Ending(RunPlan plan, RunState state)
    {
        var acts = ImmutableArray.CreateBuilder<Act>();
        if (state.IsEngineRunning)
        {
            Unload(acts, plan, state);
            StopEngine(acts, state);
        }
        return acts.DrainToImmutable();
    }

    private static AskAct AskOf(AskStep ask) =>
        ask.Kind switch
        {
            AskKind.Inspect => new AskAct(QuestionKind.Inspect, HandAction.None, ask.Title),
            AskKind.YesNo => new AskAct(QuestionKind.YesNo, HandAction.None, ask.Title, StopsOnNo: false),
            AskKind.Number => new AskAct(
                QuestionKind.Number,
                HandAction.None,
                ask.Meter is { } meter ? $"{ask.Title}. {Reading(meter)}" : ask.Title,
                Unit: ask.Unit,
                StopsOnNo: false,
                Display: ask.Meter?.Display
            ),
            _ => new AskAct(QuestionKind.Do, HandAction.Adjust, ask.Title),
        };

    private static string Reading(HandReading meter) =>
        $"Read it with {meter.Instrument.Id}{(meter.Instrument.SerialNumber is { } serial ? $" (serial number {serial})" : "")}: {meter.Input.PersonReads}. Type every digit it shows.";

    private static void Energise(
        ImmutableArray<Act>.Builder acts,
        RunPlan plan,
        EnergiseStepPlan energise,
        RunState state
    )
    {
        var proving = energise.Proving;
        acts.Add(new DemandGateAct());
        acts.Add(new ScanAct());
        acts.Add(new GuardAct(Relaxed(proving.Passing), TimeSpan.Zero));
        ProveWatchdog(acts, plan, proving, state);
        if (!state.IsEngineRunning)
        {
            acts.Add(
                Do(
                    HandAction.StartEngine,
                    "Output disabled and bank open: start the engine and let it run up to its no-load speed."
                )
            );
        }
        if (plan.Nameplate.Modes.Length > 1)
            acts.Add(SelectMode(energise.Mode));
        acts.Add(SetControl(proving.Setting));
        acts.Add(new FanAct(true));
        EnableOutput(acts, plan, energise.Mode, energise.OpenCircuit);
        acts.Add(new WaitAct(FanSpinUp));
        acts.Add(new GuardAct(proving.Passing, TimeSpan.Zero));
        foreach (var set in Operations(proving, ElementSet.None))
            acts.Add(new SwitchAct(set));
        acts.Add(Guard(proving));
        acts.Add(new ExpectAmperesAct(energise.ProvingCurrent));
        acts.Add(new PassGateAct(2, GateHolds));
    }

    /// <summary>Once a run, engine stopped and output disabled: one element on, silence, and it must have dropped by itself.</summary>
    private static void ProveWatchdog(
        ImmutableArray<Act>.Builder acts,
        RunPlan plan,
        BenchState proving,
        RunState state
    )
    {
        var switching = plan.Bench.Instrument(plan.Bench.Bank.InstrumentId).Definition.Switching!;
        if (!switching.HasWatchdog || state.IsWatchdogProved || state.IsEngineRunning)
            return;
        acts.Add(new SwitchAct(Operations(proving, ElementSet.None)[0]));
        acts.Add(
            new ProveWatchdogAct(TimeSpan.FromSeconds(switching.WatchdogSeconds) + switching.OpenTime + WatchdogMargin)
        );
        acts.Add(new SwitchAct(ElementSet.None));
    }

    private static void Reach(
        ImmutableArray<Act>.Builder acts,
        RunPlan plan,
        RunState state,
        PointStep point,
        BenchState target
    )
    {
        if (!state.IsEngineRunning)
            throw new InvalidOperationException(
                $"Step {point.Number} needs the engine running, and nothing in the plan before it starts it: plan and run disagree."
            );
        var isOtherMode = state.Mode is not null && state.Mode != target.Mode.Name;
        if (isOtherMode)
            Unload(acts, plan, state);
        var (elements, setting) = (isOtherMode ? ElementSet.None : state.Elements, state.Setting);
        if (isOtherMode || !state.IsOutputEnabled)
        {
            if (isOtherMode)
                acts.Add(SelectMode(target.Mode));
            setting = target.Mode.MinimumSetting;
            acts.Add(SetControl(target.Mode.MinimumSetting));
            acts.Add(new GuardAct(Relaxed(target.Passing), TimeSpan.Zero));
            EnableOutput(acts, plan, target.Mode, EnergisePlanner.OpenCircuit(target.Mode));
        }
        Move(acts, target, elements, setting);
    }

    /// <summary>Control and elements to a state, in its order, from where they stand.</summary>
    private static void Move(
        ImmutableArray<Act>.Builder acts,
        BenchState target,
        ElementSet elements,
        Quantity? setting
    )
    {
        acts.Add(new GuardAct(target.Passing, TimeSpan.Zero));
        if (target.Order == TransitionOrder.SettingFirst && setting != target.Setting)
            acts.Add(SetControl(target.Setting));
        var operations = Operations(target, elements);
        if (target.Order == TransitionOrder.ThroughMinimum && operations.Length > 0)
        {
            acts.Add(SetControl(target.Mode.MinimumSetting));
            setting = target.Mode.MinimumSetting;
        }
        foreach (var set in operations)
            acts.Add(new SwitchAct(set));
        if (target.Order != TransitionOrder.SettingFirst && setting != target.Setting)
            acts.Add(SetControl(target.Setting));
    }

    /// <summary>The planned operations, from the set that is really on; the planner's set and ours must be the same.</summary>
    private static ImmutableArray<ElementSet> Operations(BenchState target, ElementSet from)
    {
        if (target.All == from)
            return [];
        ImmutableArray<ElementSet> operations = target.Switching.IsEmpty ? [target.All] : target.Switching;
        return BitOperations.PopCount(operations[0].Mask ^ from.Mask) == 1 && operations[^1] == target.All
            ? operations
            : throw new InvalidOperationException(
                $"Elements {from} are on, but the plan leads to {target.All} by way of {operations[0]}: plan and run disagree."
            );
    }

    /// <summary>Auxiliary elements off, control to minimum, output disabled, current gone, then elements off.</summary>
    /// <remarks>No switch of the weld output takes the auxiliary current away; with it flowing, current would never be gone.</remarks>
    private static void Unload(ImmutableArray<Act>.Builder acts, RunPlan plan, RunState state)
    {
        if (!state.IsOutputEnabled && state.Elements.IsEmpty)
            return;
        if (state.Limits is { } limits)
            acts.Add(new GuardAct(Relaxed(limits), TimeSpan.Zero));
        var weld = state.Elements.Intersect(ElementSet.First(plan.Bench.Bank.Elements.Length));
        if (state.IsOutputEnabled && weld != state.Elements)
            acts.Add(new SwitchAct(weld));
        if (state.IsOutputEnabled)
        {
            var mode = plan.Nameplate.Modes.FirstOrDefault(m => m.Name == state.Mode) ?? plan.Nameplate.Modes[0];
            if (state.Setting != mode.MinimumSetting)
                acts.Add(SetControl(mode.MinimumSetting));
            acts.Add(Do(HandAction.DisableOutput, "Disable the weld output."));
            acts.Add(new AwaitNoCurrentAct());
            if (plan.Bench.OutputEnable is not null)
                acts.Add(new OutputAct(false));
        }
        acts.Add(new SwitchAct(ElementSet.None));
        acts.Add(new ConfirmOffAct());
    }

    private static void StopEngine(ImmutableArray<Act>.Builder acts, RunState state)
    {
        if (state.IsEngineRunning)
            acts.Add(
                Do(
                    HandAction.StopEngine,
                    "Stop the engine. The studs are live until it has stopped and the voltage is measured."
                )
            );
    }

    private static void EnableOutput(ImmutableArray<Act>.Builder acts, RunPlan plan, UnitMode mode, Band openCircuit)
    {
        if (plan.Bench.OutputEnable is not null)
            acts.Add(new OutputAct(true));
        acts.Add(Do(HandAction.EnableOutput, $"Bank open: enable the weld output in mode {mode.Name}."));
        acts.Add(new ExpectVoltsAct(openCircuit));
    }

    private static void ReadPanel(ImmutableArray<Act>.Builder acts)
    {
        acts.Add(
            new AskAct(
                QuestionKind.Number,
                HandAction.ReadPanelAmperes,
                "Read the unit's own ammeter.",
                Unit: Unit.Ampere
            )
        );
        acts.Add(
            new AskAct(
                QuestionKind.Number,
                HandAction.ReadPanelVolts,
                "Read the unit's own voltmeter.",
                Unit: Unit.Volt
            )
        );
    }

    /// <summary>The limits of a state once it is reached, and the least volts that say the source still works.</summary>
    private static GuardAct Guard(BenchState target) =>
        new(target.Trips, TransitionWithin, LeastPart * target.PredictedVolts.Value);

    private static AskAct Do(HandAction action, string text) => new(QuestionKind.Do, action, text);

    private static AskAct SelectMode(UnitMode mode) =>
        new(QuestionKind.Do, HandAction.SelectMode, $"Select {mode.Name}.", Mode: mode.Name);

    private static AskAct SetControl(Quantity setting) =>
        new(
            QuestionKind.Do,
            HandAction.SetControl,
            $"Turn the control to {setting.Value:0.##} {(setting.Unit == Unit.Volt ? "V" : "A")}.",
            Setting: setting
        );

    /// <summary>The same upper limits, with room for an output that is dead.</summary>
    private static TripLimits Relaxed(TripLimits limits) =>
        new(
            limits.Volts with
            {
                Lower = Math.Min(limits.Volts.Lower, -DeadOutputVolts),
            },
            limits.Amperes with
            {
                Lower = double.NegativeInfinity,
            },
            null
        );
}
