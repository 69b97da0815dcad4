using LoadTest.Analysis;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Sequencer.Planning;

/// <summary>Load volts against amperes for one mode: the conventional line, bent to pass through the nameplate's rated point.</summary>
/// <remarks>
/// U(I) = a + (U_r − a)·I/I_r with a = 20, 10 or 14 V (IEC 60974-1, 11.2, from memory: check your copy). The nameplate's
/// own rated volts come first, so at I_r the line is U_r whatever the convention says; where the plate follows the
/// convention the two are the same. Covered electrode, 300 A and 32 V: 20 + 0.04·I, so 26 V at 150 A.
/// </remarks>
internal sealed class ModeLoadLine
{
    private readonly double _intercept;
    private readonly double _voltsPerAmpere;

    public ModeLoadLine(UnitMode mode)
    {
        _intercept = Math.Min(Intercept(mode.LoadLine), mode.RatedVolts.Value);
        _voltsPerAmpere = (mode.RatedVolts.Value - _intercept) / mode.RatedAmperes.Value;
    }

    /// <summary>Load volts at a current, V.</summary>
    public double Volts(double amperes) => _intercept + _voltsPerAmpere * amperes;

    /// <summary>Current at load volts, A; null below the line's start, where no current belongs to the volts.</summary>
    public double? Amperes(double volts) =>
        _voltsPerAmpere > 0 && volts > _intercept ? (volts - _intercept) / _voltsPerAmpere : null;

    /// <summary>The line in words: <c>20 V + 0.04 V/A</c>.</summary>
    public override string ToString() =>
        $"{Figures.With(_intercept, "V", 4)} + {Figures.With(_voltsPerAmpere, "V/A", 3)}";

    private static double Intercept(LoadLineName name) =>
        name switch
        {
            LoadLineName.CoveredElectrode => LoadLine.CoveredElectrode.Intercept,
            LoadLineName.Tig => LoadLine.Tig.Intercept,
            LoadLineName.MigMag => LoadLine.MigMag.Intercept,
            _ => throw new ArgumentOutOfRangeException(nameof(name), name, "Not one of the three conventional lines."),
        };
}
