using LoadTest.Analysis;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Records.Results;

/// <summary>Size of the change of the held quantity between the beginning and the end of a hold.</summary>
/// <remarks>
/// |end − begin|/begin of the means of two windows of equal length. Both are readings of one meter on one range minutes apart,
/// so its gain and certificate drop out and only scatter and resolution remain; a drift of the meter itself is not in it.
/// A drift either way counts, so "at most 2 %" holds for both.
/// 300.0 A to 298.5 A is 0.005, said 0.5 %.
/// </remarks>
internal static class HoldDrift
{
    /// <summary>The drift with its budget, a fraction; null when the hold was not measured to its end.</summary>
    public static Budget? Of(
        IReadOnlyList<MeasuredPoint> points,
        UnitMode mode,
        PointMeasurer measurer,
        double coverage
    )
    {
        var role = PanelReader.SetsVolts(mode) ? ChannelRole.StudVolts : ChannelRole.ReferenceShuntDrop;
        if (
            points.FirstOrDefault(p => p.Step.Hold > TimeSpan.Zero) is not { Window: { } end } point
            || measurer.Meter(role) is not { } meter
        )
            return null;
        var begin = end.From - point.Step.Hold;
        if (
            measurer.Mean(role, begin, begin + (end.To - end.From)) is not { Mean: not 0 } first
            || measurer.Mean(role, end.From, end.To) is not { } last
        )
            return null;
        var scale = 1 / Math.Abs(first.Mean);
        var inputs = new List<UncertaintyInput>();
        Add(inputs, "beginning", first, meter.Resolution, scale);
        Add(inputs, "end", last, meter.Resolution, scale);
        return Budget.Linear(
            "drift over the hold",
            "",
            Math.Abs(last.Mean - first.Mean) * scale,
            inputs,
            null,
            coverage
        );
    }

    private static void Add(List<UncertaintyInput> inputs, string end, WindowMean mean, double resolution, double scale)
    {
        var scatter = mean.Estimate ?? new Estimate(mean.Mean, mean.StandardDeviation);
        inputs.Add(
            UncertaintyInput.FromScatter($"{end}: scatter of {mean.Count} readings", scatter, mean.Count).With(scale)
        );
        inputs.Add(UncertaintyInput.FromResolution($"{end}: resolution", resolution).With(scale));
    }
}
