using LoadTest.Analysis;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Records.Results;

/// <summary>Change of the held quantity from the beginning of a hold to its end, with its sign.</summary>
/// <remarks>
/// end/begin − 1 of the means of two windows of equal length; negative when the quantity fell. Both are readings of one meter on one range
/// minutes apart, so its gain and certificate drop out. What remains: scatter and last digit of both, what the meter itself changes within a run, and
/// by a shunt its warming and thermal EMF between the windows. Where the bench reads the shunt's temperature its warming is taken off.
/// 300.0 A to 298.5 A is −0.005, said −0.5 %.
/// </remarks>
internal static class HoldDrift
{
    // How well a temperature coefficient is known, a part of it: house rule, no source.
    private const double CoefficientPart = 0.25;

    /// <summary>The drift with its budget, a fraction; null when the hold was not measured to its end.</summary>
    public static Budget? Of(
        IReadOnlyList<MeasuredPoint> points,
        UnitMode mode,
        PointMeasurer measurer,
        double coverage
    )
    {
        var isVolts = PanelReader.SetsVolts(mode);
        var role = isVolts ? ChannelRole.StudVolts : ChannelRole.ReferenceShuntDrop;
        if (
            points.FirstOrDefault(p => p.Step.Hold > TimeSpan.Zero) is not { Window: { } end } point
            || measurer.Meter(role) is not { } meter
        )
            return null;
        var begin = end.From - point.Step.Hold;
        var length = end.To - end.From;
        if (
            measurer.Mean(role, begin, begin + length) is not { Mean: not 0 } first
            || measurer.Mean(role, end.From, end.To) is not { } last
        )
            return null;
        if (!meter.Covers(first.Mean) || !meter.Covers(last.Mean))
            return null;
        var scale = 1 / Math.Abs(first.Mean);
        var inputs = new List<UncertaintyInput>();
        Add(inputs, "beginning", first, meter.Resolution, scale);
        Add(inputs, "end", last, meter.Resolution, scale);
        inputs.Add(
            Half("meter within the run", Component.Stability, meter.Stability(last.Mean)).With(scale) with
            {
                Instrument = meter.Instrument.Id,
            }
        );
        var ratio = last.Mean / first.Mean;
        if (!isVolts)
        {
            var warming = Warming(inputs, measurer, begin, length, end, last.Mean);
            ratio /= 1 + warming;
            inputs.Add(
                Half("reference shunt: thermal EMF", Component.ThermalEmf, measurer.Shunt.ThermalVolts.Value)
                    .With(scale)
            );
        }
        return Budget.Linear("drift over the hold", "", ratio - 1, inputs, null, coverage);
    }

    // Relative change of the shunt's ratio between the windows, and the lines it costs.
    private static double Warming(
        List<UncertaintyInput> inputs,
        PointMeasurer measurer,
        TimeSpan begin,
        TimeSpan length,
        Sequencer.Journal.PointMeasured end,
        double volts
    )
    {
        var shunt = measurer.Shunt;
        const ChannelRole Thermometer = ChannelRole.ReferenceShuntTemperature;
        if (
            measurer.Mean(Thermometer, begin, begin + length) is { } cold
            && measurer.Mean(Thermometer, end.From, end.To) is { } warm
            && measurer.Meter(Thermometer) is { } thermometer
            && thermometer.Covers(cold.Mean)
            && thermometer.Covers(warm.Mean)
        )
        {
            var kelvins = warm.Mean - cold.Mean;
            inputs.Add(
                Half(
                        "reference shunt: its thermometer",
                        Component.Temperature,
                        thermometer.Stability(warm.Mean) + thermometer.Resolution
                    )
                    .With(shunt.TemperatureCoefficient)
            );
            inputs.Add(
                Half(
                        "reference shunt: temperature coefficient",
                        Component.TemperatureCoefficient,
                        CoefficientPart * Math.Abs(shunt.TemperatureCoefficient)
                    )
                    .With(kelvins)
            );
            return shunt.TemperatureCoefficient * kelvins;
        }
        var part = volts / shunt.RatedVolts.Value;
        inputs.Add(
            Half(
                "reference shunt: self-heating between the windows",
                Component.SelfHeating,
                Math.Abs(shunt.TemperatureCoefficient) * shunt.SelfHeatingKelvins * part * part
            )
        );
        return 0;
    }

    private static void Add(List<UncertaintyInput> inputs, string end, WindowMean mean, double resolution, double scale)
    {
        var scatter = mean.Estimate ?? new Estimate(mean.Mean, mean.StandardDeviation);
        inputs.Add(
            UncertaintyInput.FromScatter($"{end}: scatter of {mean.Count} readings", scatter, mean.Count).With(scale)
        );
        inputs.Add(UncertaintyInput.FromResolution($"{end}: resolution", resolution).With(scale));
    }

    private static UncertaintyInput Half(string name, Component component, double halfWidth) =>
        UncertaintyInput.FromHalfWidth(name, 0, halfWidth) with
        {
            Component = component,
        };
}
