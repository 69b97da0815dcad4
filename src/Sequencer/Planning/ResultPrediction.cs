using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Predicted standard uncertainty of what a group is judged on, at its worst point.</summary>
internal sealed class ResultPrediction(Nameplate nameplate, MeterPrediction meters)
{
    /// <summary>Half a step of a panel meter that shows whole amperes or tenths of volts, taken as its readability.</summary>
    /// <remarks>Common practice, no source; the nameplate does not say it.</remarks>
    private const double PanelAmperes = 0.5;
    private const double PanelVolts = 0.05;

    /// <summary>Where temperatures are taken to lie when nothing is known yet, °C; common practice, no source.</summary>
    private const double HotCelsius = 100;
    private const double AirCelsius = 25;

    private static readonly double RootThree = Math.Sqrt(3);

    /// <summary>Unit a limit on this quantity has; null when any will do.</summary>
    public static Unit? UnitOf(Measurand measurand) =>
        measurand switch
        {
            Measurand.OutputVoltage
            or Measurand.OpenCircuitVoltage
            or Measurand.SetVoltageError
            or Measurand.IndicatedVoltageError => Unit.Volt,
            Measurand.OutputCurrent
            or Measurand.CurrentAtLoadLine
            or Measurand.SetCurrentError
            or Measurand.IndicatedCurrentError => Unit.Ampere,
            Measurand.OutputPower => Unit.Watt,
            Measurand.ShuntRatio or Measurand.CurveSlope => Unit.VoltPerAmpere,
            Measurand.Drift
            or Measurand.Dip
            or Measurand.Overshoot
            or Measurand.VoltageRegulation
            or Measurand.FrequencyDroop => Unit.Fraction,
            Measurand.UnitTemperature => Unit.Celsius,
            Measurand.UnitTemperatureRise => Unit.Kelvin,
            Measurand.RecoveryTime => Unit.Second,
            Measurand.AuxiliaryVoltage => Unit.Volt,
            Measurand.AuxiliaryFrequency => Unit.Hertz,
            Measurand.AuxiliaryPower => Unit.Watt,
            _ => null,
        };

    /// <summary>u of the result in its unit, or over the setting where the limit is; null when it cannot be predicted.</summary>
    public double? Uncertainty(
        Measurand measurand,
        UnitMode mode,
        IReadOnlyList<PredictedPoint> points,
        bool isRelativeToSetting
    )
    {
        var loaded = points.Where(p => p.Amperes > 0).ToArray();
        return measurand switch
        {
            Measurand.ShuntRatio => ShuntRatio(loaded),
            Measurand.CurveSlope => Slope(loaded),
            Measurand.OpenCircuitVoltage => Worst(points.Where(p => p.Amperes == 0), OfVolts, isRelativeToSetting),
            Measurand.CurrentAtLoadLine => LoadLineAmperes(mode, loaded, isRelativeToSetting),
            Measurand.OutputVoltage => Worst(points, OfVolts, isRelativeToSetting),
            Measurand.SetVoltageError => Worst(loaded, OfVolts, isRelativeToSetting),
            Measurand.IndicatedVoltageError => Worst(
                loaded,
                p => With(OfVolts(p), PanelVolts / RootThree),
                isRelativeToSetting
            ),
            Measurand.OutputCurrent or Measurand.SetCurrentError => Worst(loaded, OfAmperes, isRelativeToSetting),
            Measurand.IndicatedCurrentError => Worst(
                loaded,
                p => With(OfAmperes(p), PanelAmperes / RootThree),
                isRelativeToSetting
            ),
            Measurand.OutputPower => Worst(loaded, OfWatts, isRelativeToSetting),
            Measurand.Drift => Drift(mode, loaded),
            Measurand.AuxiliaryVoltage => Auxiliary(ChannelRole.AuxiliaryVolts, nameplate.Auxiliary?.Volts.Value),
            Measurand.AuxiliaryFrequency => Auxiliary(ChannelRole.AuxiliaryFrequency, nameplate.Auxiliary?.Hertz),
            Measurand.AuxiliaryPower => Auxiliary(ChannelRole.AuxiliaryPower, nameplate.Auxiliary?.Watts.Value),
            Measurand.UnitTemperature => meters.Beside(ChannelRole.UnitTemperature, HotCelsius),
            Measurand.UnitTemperatureRise => Rise(),
            _ => null,
        };
    }

    private double? Auxiliary(ChannelRole role, double? rated) =>
        rated is { } value ? meters.Beside(role, value) : null;

    private double? Rise() =>
        meters.Beside(ChannelRole.UnitTemperature, HotCelsius) is { } unit
        && meters.Beside(ChannelRole.AirTemperature, AirCelsius) is { } air
            ? MeterPrediction.Root(unit, air)
            : null;

    private double? OfVolts(PredictedPoint p) => meters.StudVolts(p.Volts);

    private double? OfAmperes(PredictedPoint p) => meters.Amperes(p.Amperes);

    private double? OfWatts(PredictedPoint p) =>
        OfVolts(p) is { } v && OfAmperes(p) is { } i ? MeterPrediction.Root(v * p.Amperes, i * p.Volts) : null;

    /// <summary>Ratio at the largest current, where the regression has its weight: both relative parts together.</summary>
    private double? ShuntRatio(PredictedPoint[] loaded)
    {
        if (loaded.Length == 0)
            return null;
        var top = loaded.MaxBy(p => p.Amperes);
        var ratio = nameplate.Shunt.RatedRatio;
        var drop = ratio * top.Amperes;
        return meters.UnitShuntDrop(drop) is { } u && OfAmperes(top) is { } i
            ? ratio * MeterPrediction.Root(u / drop, i / top.Amperes)
            : null;
    }

    /// <summary>Slope between the ends of the curve: u(U)·√2 over the span of amperes.</summary>
    private double? Slope(PredictedPoint[] loaded)
    {
        if (loaded.Length < 2)
            return null;
        var span = loaded.Max(p => p.Amperes) - loaded.Min(p => p.Amperes);
        return span > 0 && Worst(loaded, OfVolts, false) is { } u ? Math.Sqrt(2) * u / span : null;
    }

    /// <summary>The reading of amperes at the point nearest to the load line.</summary>
    private double? LoadLineAmperes(UnitMode mode, PredictedPoint[] loaded, bool isRelative)
    {
        if (loaded.Length == 0)
            return null;
        var line = new ModeLoadLine(mode);
        var nearest = loaded.MinBy(p => Math.Abs(p.Volts - line.Volts(p.Amperes)));
        return Worst([nearest], OfAmperes, isRelative);
    }

    private double? Drift(UnitMode mode, PredictedPoint[] loaded)
    {
        if (loaded.Length == 0)
            return null;
        var point = loaded[0];
        return mode.Characteristic == Characteristic.ConstantVoltage
            ? meters.RepeatStep(ChannelRole.StudVolts, point.Volts)
            : meters.RepeatStep(ChannelRole.ReferenceShuntDrop, meters.ReferenceDrop(point.Amperes));
    }

    private static double? With(double? u, double part) => u is { } known ? MeterPrediction.Root(known, part) : null;

    private static double? Worst(
        IEnumerable<PredictedPoint> points,
        Func<PredictedPoint, double?> uncertainty,
        bool isRelative
    )
    {
        double? worst = null;
        foreach (var point in points)
        {
            if (uncertainty(point) is not { } u)
                return null;
            var scaled = isRelative ? u / Math.Abs(point.Setting) : u;
            worst = worst is { } w ? Math.Max(w, scaled) : scaled;
        }
        return worst;
    }
}
