using LoadTest.Analysis;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Quantities and units in the words of profiles and reports.</summary>
internal static class Words
{
    public static string For(Measurand measurand) =>
        measurand switch
        {
            Measurand.OutputVoltage => "output voltage",
            Measurand.OutputCurrent => "output current",
            Measurand.OutputPower => "output power",
            Measurand.LoadConductance => "load conductance",
            Measurand.ShuntRatio => "shunt ratio",
            Measurand.SetCurrentError => "set current error",
            Measurand.IndicatedCurrentError => "indicated current error",
            Measurand.SetVoltageError => "set voltage error",
            Measurand.IndicatedVoltageError => "indicated voltage error",
            Measurand.OpenCircuitVoltage => "open-circuit voltage",
            Measurand.CurrentAtLoadLine => "current at load line",
            Measurand.CurveSlope => "curve slope",
            Measurand.Value => "value",
            Measurand.Drift => "drift",
            _ => MeasurandText.Word(measurand),
        };

    public static string For(Unit? unit) =>
        unit switch
        {
            null => "its unit",
            Unit.VoltPerAmpere => "V/A or mV/A",
            { } one => UnitText.Usual(one),
        };

    /// <summary>A number in its unit, four significant digits, millivolts per ampere and percent as people read them.</summary>
    public static string Number(double? value, Unit unit) =>
        (value, unit) switch
        {
            (null, _) => "none",
            ({ } v, _) => Number(v, unit, 4),
        };

    /// <summary>A limit: six significant digits, since 0.11875 mV/A is not 0.1187.</summary>
    public static string Limit(double value, Unit unit)
    {
        return Number(value, unit, 6);
    }

    private static string Number(double value, Unit unit, int digits)
    {
        var (symbol, factor) = Shown(unit);
        return $"{Figures.Of(value * factor, digits)}{symbol}";
    }

    /// <summary>An uncertainty: two significant digits and no exponent.</summary>
    public static string Uncertainty(double value, Unit unit)
    {
        var (symbol, factor) = Shown(unit);
        var size = Math.Abs(value * factor);
        var decimals = size > 0 ? Math.Clamp(1 - (int)Math.Floor(Math.Log10(size)), 0, 12) : 0;
        return (value * factor).ToString($"F{decimals}") + symbol;
    }

    private static (string Symbol, double Factor) Shown(Unit unit)
    {
        var (symbol, factor) = UnitText.Shown(unit);
        return (symbol.Length == 0 ? "" : $" {symbol}", factor);
    }

    public static string Number(Quantity quantity) => Number(quantity.Value, quantity.Unit);
}
