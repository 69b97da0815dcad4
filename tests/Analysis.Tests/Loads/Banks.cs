using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

/// <summary>Banks and requests for tests that do not care which.</summary>
internal static class Banks
{
    public static readonly SwitchingLimits Quick = new(TimeSpan.FromSeconds(0.1), TimeSpan.FromSeconds(1));

    public static LoadElement Element(string id, double ohms, double volts = 100) =>
        new(id, new Ohms(ohms)) { RatedVolts = new Volts(volts), Tolerance = 0.05 };

    public static LoadBank Of(params double[] ohms) => new(ohms.Select((r, k) => Element($"E{k + 1}", r)));

    public static ConstantCurrent Current(double amperes, double ceiling = 80) =>
        new(new Amperes(amperes), new Volts(ceiling));

    public static ConstantVoltage Voltage(double volts, double limit = double.PositiveInfinity, double ceiling = 80) =>
        new(new Volts(volts), new Amperes(limit), new Volts(ceiling));

    public static LoadRequest Wanted(double ohms, SourceCharacteristic source) =>
        new(new WantedResistance(new Ohms(ohms)), source, Quick);
}
