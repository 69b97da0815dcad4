using LoadTest.Analysis;
using LoadTest.Analysis.Ac;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Analyses the fast samples of a transient.</summary>
/// <remarks>
/// The moment of the change is the first sample that leaves the steady band about the value before it, which may still
/// straddle the change and counts for neither side; where none leaves it, the moment the change was commanded. Contacts follow a command by some tens of milliseconds, and
/// the load by nothing, so the samples tell it better. Common practice, no source.
/// </remarks>
internal static class TransientMaker
{
    /// <summary>The result; null when the run did not come so far.</summary>
    public static TransientResult? Of(MeasuredPoint point, PointMeasurer measurer, List<string> findings)
    {
        if (
            point.Step.Transient is not { } plan
            || measurer.Times.Switched(point.Step.Number, point.Step.State.All) is not { } commanded
        )
            return null;
        var (readings, meter) = measurer.Of(plan.Channel);
        var (seconds, values) = readings.Series(commanded - TransientPlan.Before, commanded + plan.After);
        var isCurrent = meter.Channel.Role is ChannelRole.ReferenceShuntDrop or ChannelRole.BankAmperes;
        if (meter.Channel.Role == ChannelRole.ReferenceShuntDrop)
            values = [.. values.Select(v => v / measurer.VoltsPerAmpere)];
        var moment = Moment(seconds, values, commanded.TotalSeconds, plan.Band);
        StepResponse? response = null;
        try
        {
            response = StepResponse.Of(
                seconds,
                values,
                moment,
                plan.Rated,
                plan.Band / plan.Rated,
                StepReference.AfterStep,
                Uncertainty(meter, values, measurer)
            );
        }
        catch (ArgumentException e)
        {
            findings.Add($"The transient could not be analysed: {SentenceText.Of(e)}");
        }
        var scatter = Scatter(seconds, values, commanded.TotalSeconds);
        if (2 * scatter > plan.Band)
        {
            findings.Add(
                $"{meter.Channel.Name} scattered by {Figures.Of(scatter, 2)} {(isCurrent ? "A" : "V")} (standard deviation) before the change, and the steady band is ± {Figures.Of(plan.Band, 3)}: ripple alone leaves the band, so recovery comes out too long. Use an aperture of a whole ripple period, or a wider band."
            );
        }
        if (seconds.Length > 1)
        {
            findings.Add(
                $"{meter.Channel.Name} was sampled {seconds.Length} times, every {(seconds[^1] - seconds[0]) / (seconds.Length - 1) * 1000:0.0} ms; {plan.Every.TotalMilliseconds:0.#} ms was asked for."
            );
        }
        return new TransientResult(
            meter.Channel.Name,
            isCurrent ? "A" : "V",
            [.. seconds.Select(s => s - moment)],
            [.. values],
            response,
            plan.Band
        );
    }

    /// <summary>Budget of one judged quantity; null when it could not be told.</summary>
    public static Budget? BudgetOf(Measurand measurand, TransientResult? result, double coverage)
    {
        if (result?.Response is not { } response)
            return null;
        // A dip is said as a positive number.
        return measurand switch
        {
            Measurand.Dip => Of("dip", "", response.Dip with { Value = -response.Dip.Value }, coverage),
            Measurand.Overshoot => Of("overshoot", "", response.Overshoot, coverage),
            _ => response.RecoverySeconds is { } r ? Of("recovery time", "s", r, coverage) : null,
        };
    }

    private static Budget Of(string name, string unit, Estimate estimate, double coverage) =>
        Budget.Linear(
            name,
            unit,
            estimate.Value,
            [
                UncertaintyInput.FromStandard($"{name}: samples and meter", 0, estimate.StandardUncertainty) with
                {
                    Component = Component.Method,
                },
            ],
            null,
            coverage
        );

    private static double Uncertainty(JudgingMeter meter, double[] values, PointMeasurer measurer)
    {
        if (values.Length == 0)
            return 0;
        var scale = meter.Channel.Role == ChannelRole.ReferenceShuntDrop ? measurer.VoltsPerAmpere : 1;
        return meter.StandardUncertainty(values.Max() * scale) / scale;
    }

    private static double Scatter(double[] seconds, double[] values, double commanded)
    {
        double[] before = [.. values.Where((_, k) => seconds[k] <= commanded)];
        if (before.Length < 2)
            return 0;
        var mean = before.Average();
        return Math.Sqrt(before.Sum(v => (v - mean) * (v - mean)) / (before.Length - 1));
    }

    private static double Moment(double[] seconds, double[] values, double commanded, double band)
    {
        var before = 0;
        while (before < seconds.Length && seconds[before] <= commanded)
            before++;
        if (before == 0)
            return commanded;
        var mean = values.Take(before).Average();
        for (var k = before; k < seconds.Length; k++)
        {
            if (Math.Abs(values[k] - mean) > band)
                return seconds[k];
        }
        return commanded;
    }
}
