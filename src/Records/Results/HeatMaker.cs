using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Records.Results;

/// <summary>Analyses a heat run from the temperatures taken and the readings between them.</summary>
internal static class HeatMaker
{
    /// <summary>Half a second in ten minutes: what scanning itself blurs.</summary>
    private const double Slack = 0.001;

    /// <summary>The result; null when the run did not come so far.</summary>
    public static HeatResult? Of(MeasuredPoint point, PointMeasurer measurer, double coverage, List<string> findings)
    {
        if (point.Step.Heat is not { } heat || measurer.Times.Of(point.Step.Number) is not var (from, to))
            return null;
        var taken = Taken(point.Step.Number, measurer).ToArray();
        double[] seconds = [.. taken.Select(t => t.Seconds)];
        double[] celsius = [.. taken.Select(t => t.Celsius)];
        var equilibrium =
            heat.Equilibrium is { } rule && taken.Length > 0
                ? ThermalEquilibrium.Of(seconds, celsius, rule.KelvinsPerHour, rule.Over)
                : null;
        var warmUp = taken.Length >= 5 ? WarmUp.Of(seconds, celsius) : null;
        if (equilibrium is not null)
            findings.Add($"Unit temperature: {equilibrium.Words}");
        if (warmUp is WarmUpUnknown unknown)
            findings.Add(unknown.Reason);
        var worst = DutyCycle.Worst(Loads(point, measurer, from, to), DutyCycle.Cycle);
        if (heat.DutyCycle is { } duty && worst > duty + Slack)
        {
            findings.Add(
                $"Some ten minutes held {worst * 100:0.#} % of load where {duty * 100:0.#} % were planned: the load came off late. The unit was loaded harder than its duty cycle for that long."
            );
        }
        return new HeatResult(
            [.. seconds.Select(s => s / 60)],
            [.. celsius],
            Trace(ChannelRole.UnitTemperature, measurer, from, to),
            Trace(ChannelRole.AirTemperature, measurer, from, to),
            equilibrium,
            warmUp,
            warmUp is WarmUpFound { Curve: var curve }
            && point.Beside.TryGetValue(ChannelRole.UnitTemperature, out var thermometer)
                ? curve.FinalBy(thermometer.Common)
                : null,
            point.Counts ? Rise(point, coverage) : null,
            worst,
            to - from
        );
    }

    /// <summary>Unit less air temperature with the lines of both meters; an error both share moves both together.</summary>
    private static Budget? Rise(MeasuredPoint point, double coverage)
    {
        if (
            !point.Beside.TryGetValue(ChannelRole.UnitTemperature, out var unit)
            || !point.Beside.TryGetValue(ChannelRole.AirTemperature, out var air)
        )
            return null;
        UncertaintyInput[] inputs =
        [
            .. unit.Budget.Lines.Select(l => l.Input),
            .. air.Budget.Lines.Select(l => l.Input.With(-l.Sensitivity)),
        ];
        return Budget.Linear(
            "unit temperature rise",
            "K",
            unit.Estimate.Value - air.Estimate.Value,
            inputs,
            null,
            coverage
        );
    }

    private static IEnumerable<(double Seconds, double Celsius)> Taken(int step, PointMeasurer measurer)
    {
        foreach (var window in measurer.Times.Windows(step).Where(w => !w.HasSettled))
        {
            if (measurer.Mean(ChannelRole.UnitTemperature, window.From, window.To) is { } mean)
                yield return (window.To.TotalSeconds, mean.Mean);
        }
    }

    private static RunTrace Trace(ChannelRole role, PointMeasurer measurer, TimeSpan from, TimeSpan to) =>
        RunTrace.Of(measurer.Readings(role)?.Part(from, to), 1);

    // Under load: half of the planned current or more.
    private static List<LoadSpan> Loads(MeasuredPoint point, PointMeasurer measurer, TimeSpan from, TimeSpan to)
    {
        var loads = new List<LoadSpan>();
        if (measurer.Readings(ChannelRole.ReferenceShuntDrop) is not { } drops)
            return loads;
        var (seconds, volts) = drops.Series(from, to);
        var enough = 0.5 * point.Step.State.PredictedAmperes.Value * measurer.VoltsPerAmpere;
        TimeSpan? since = null;
        for (var k = 0; k < seconds.Length; k++)
        {
            var at = TimeSpan.FromSeconds(seconds[k]);
            if (volts[k] >= enough)
                since ??= at;
            else if (since is { } on)
            {
                loads.Add(new LoadSpan(on, at));
                since = null;
            }
        }
        if (since is { } last)
            loads.Add(new LoadSpan(last, to));
        return loads;
    }
}
