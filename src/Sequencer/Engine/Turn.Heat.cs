using System.Runtime.InteropServices;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Heat;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Sequencer.Engine;

/// <content>Heat runs: duty cycle over any ten minutes, equilibrium or time limit; and cool-downs by temperature.</content>
internal sealed partial class Turn
{
    /// <summary>An on part ends so much early, so that switching off falls into the allowed time.</summary>
    private static readonly TimeSpan SwitchingLead = TimeSpan.FromSeconds(10);

    /// <summary>Without a duty cycle a temperature is taken so often.</summary>
    private static readonly TimeSpan SampleEvery = TimeSpan.FromMinutes(1);

    /// <summary>Readings of so long before count to it.</summary>
    private static readonly TimeSpan SampleOver = TimeSpan.FromSeconds(10);

    private void BeginHeat()
    {
        State = State with { Heat = State.Heat ?? new HeatProgress(now, now) { NextSample = now } };
    }

    private void OnHeatReading(Reading reading)
    {
        if (CurrentAct is not HeatAct act)
            return;
        var heat = State.Heat!;
        if (Channel(reading.Channel).Role == ChannelRole.UnitTemperature && now >= SampleDue(act, heat) - SampleOver)
            State = State with { Heat = heat with { Mean = (heat.Mean.Sum + reading.Value, heat.Mean.Count + 1) } };
    }

    private TimeSpan SampleDue(HeatAct act, HeatProgress heat) =>
        act.Point.Heat!.DutyCycle is { } duty ? heat.OnSince + OnPart(duty) : heat.NextSample;

    private static TimeSpan OnPart(double duty) => duty * DutyCycle.Cycle - SwitchingLead;

    private void OnHeatTick(HeatAct act)
    {
        var heat = State.Heat!;
        var heating = act.Point.Heat!;
        var isOver = now - heat.Begun >= heating.AtMost;
        if (!isOver && now < SampleDue(act, heat))
            return;
        heat = TakeTemperature(heat, heating);
        Write(
            new PointMeasured(
                now,
                act.Point.Number,
                now - SampleOver,
                now,
                HasSettled: false,
                $"Temperature {heat.Cycles} of the heat run."
            )
        );
        State = State with { Heat = heat };
        var (isWarm, words) = Equilibrium(heat, heating);
        // The hot point belongs to the end of an on part; one that would end beyond the limit is not begun.
        var isLast = heating.DutyCycle is not null && now - heat.Begun + DutyCycle.Cycle > heating.AtMost;
        if (isWarm)
            EndHeat(act, $"In equilibrium after {Minutes(heat)}: {words}");
        else if (isOver)
            EndHeat(act, $"Time limit of {heating.AtMost.TotalMinutes:0.#} min reached. {words}");
        else if (isLast)
            EndHeat(act, $"Time limit of {heating.AtMost.TotalMinutes:0.#} min leaves no further on part. {words}");
        else if (heating.DutyCycle is not null)
            Enter(StepActs.HeatOff(act.Point, State, isLast: false));
    }

    private string Minutes(HeatProgress heat) => $"{(now - heat.Begun).TotalMinutes:0.#} min";

    private HeatProgress TakeTemperature(HeatProgress heat, HeatPlan heating)
    {
        var next = heat with { NextSample = heat.NextSample + SampleEvery, Mean = default, Cycles = heat.Cycles + 1 };
        if (heat.Mean.Count == 0)
            return next;
        var oldest =
            now.TotalSeconds - (heating.Equilibrium?.Over ?? SampleEvery).TotalSeconds * 1.2 - SampleEvery.TotalSeconds;
        var first = 0;
        while (first < heat.Seconds.Length && heat.Seconds[first] < oldest)
            first++;
        return next with
        {
            Seconds = heat.Seconds.RemoveRange(0, first).Add(now.TotalSeconds),
            Celsius = heat.Celsius.RemoveRange(0, first).Add(heat.Mean.Sum / heat.Mean.Count),
        };
    }

    /// <summary>Whether the unit is warm by the rule; with a duty cycle the ends of the on parts are compared.</summary>
    private static (bool IsWarm, string Words) Equilibrium(HeatProgress heat, HeatPlan heating)
    {
        if (heating.Equilibrium is not { } rule)
            return (false, "No equilibrium was asked for.");
        if (heat.Seconds.IsEmpty)
            return (false, "No temperature was read.");
        var found = ThermalEquilibrium.Of(heat.Seconds.AsSpan(), heat.Celsius.AsSpan(), rule.KelvinsPerHour, rule.Over);
        return (found.Verdict == Verdict.Pass, found.Words);
    }

    /// <summary>Measures hot, then rests: whatever follows finds the duty cycle kept.</summary>
    private void EndHeat(HeatAct act, string words)
    {
        Write(new Remarked(now, $"Heat run, step {act.Point.Number}: {words}"));
        if (act.Point.Heat!.Off is null)
            State = State with { Heat = null };
        Enter(StepActs.HeatEnd(act.Point, State));
    }

    private void BeginHeatRest(HeatRestAct rest)
    {
        var heat = State.Heat!;
        var (duty, from) = (rest.Point.Heat!.DutyCycle!.Value, now - 2 * DutyCycle.Cycle);
        var loads = heat.Loads.RemoveAll(l => l.To < from).Add(new LoadSpan(heat.OnSince, now));
        // The on part is shorter than the duty cycle allows, so there is a wait after which it may stand again.
        var wait = DutyCycle.WaitFor(
            ImmutableCollectionsMarshal.AsArray(loads)!,
            now,
            OnPart(duty),
            duty,
            DutyCycle.Cycle
        )!;
        State = State with { Heat = rest.IsLast ? null : heat with { Loads = loads } };
        Progress = Progress with { Due = now + wait.Value };
    }

    private void OnHeatRestTick(HeatRestAct rest)
    {
        if (now < Progress.Due)
            return;
        if (rest.IsLast)
        {
            NextAct("");
            return;
        }
        State = State with { Heat = State.Heat! with { OnSince = now } };
        Enter(StepActs.HeatOn(rest.Point, State));
    }

    private void OnCoolTick(CoolAct cool)
    {
        var waited = now - Progress.Since + cool.Step.For;
        var hot = cool.Step.To.Where(t => !IsCool(t)).ToArray();
        if (hot.Length > 0 && waited < cool.Step.AtMost)
            return;
        if (hot.Length > 0)
            Write(
                new Remarked(
                    now,
                    $"Cool-down given up after {waited.TotalMinutes:0.#} min: {string.Join(", ", hot.Select(Words))}."
                )
            );
        NextAct("");
    }

    private bool IsCool(CoolTo to) =>
        LastGood(MeasurandText.RoleOf(to.Measurand)) is { } reading
        && reading.At > Progress.Since
        && reading.Value <= to.Celsius;

    private string Words(CoolTo to)
    {
        var found = LastGood(MeasurandText.RoleOf(to.Measurand)) is { } r ? $"{r.Value:0.#} °C" : "not read";
        return $"{MeasurandText.Word(to.Measurand)} is {found}, {to.Celsius:0.#} °C was asked for";
    }
}
