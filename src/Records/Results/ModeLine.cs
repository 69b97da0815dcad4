using LoadTest.Analysis.VoltAmp;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Records.Results;

/// <summary>A mode's load line for analysis: the conventional one, bent to pass through the nameplate's rated point.</summary>
/// <remarks>U = a + (U_r − a)·I/I_r, the same line the plan loads along. 300 A, 32 V, covered electrode: 20 V + 0.04 V/A.</remarks>
internal static class ModeLine
{
    /// <summary>The line of a mode.</summary>
    public static LoadLine Of(UnitMode mode)
    {
        var (name, intercept) = mode.LoadLine switch
        {
            LoadLineName.CoveredElectrode => (LoadLine.CoveredElectrode.Name, LoadLine.CoveredElectrode.Intercept),
            LoadLineName.Tig => (LoadLine.Tig.Name, LoadLine.Tig.Intercept),
            LoadLineName.MigMag => (LoadLine.MigMag.Name, LoadLine.MigMag.Intercept),
            _ => throw new ArgumentOutOfRangeException(nameof(mode), mode.LoadLine, "Not a conventional load line."),
        };
        var start = Math.Min(intercept, mode.RatedVolts.Value);
        return new LoadLine(
            $"{name} load line",
            start,
            (mode.RatedVolts.Value - start) / mode.RatedAmperes.Value,
            double.PositiveInfinity,
            "through the nameplate's rated point"
        );
    }
}
