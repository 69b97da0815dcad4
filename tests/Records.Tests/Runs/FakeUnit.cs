using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;

namespace LoadTest.RecordsTests.Runs;

/// <summary>A welding generator on paper: control closed through its own shunt, under a falling ceiling.</summary>
internal sealed class FakeUnit(double gain)
{
    private const double CeilingVolts = 72;
    private const double CeilingOhms = 0.045;

    /// <summary>Leads and reference shunt together, ohms.</summary>
    public const double Series = 0.0021;

    /// <summary>Relative error of the unit's own shunt; a person adjusts it.</summary>
    public double Gain { get; set; } = gain;

    /// <summary>Relative error of the panel meter behind that shunt.</summary>
    public double PanelGain { get; init; }

    /// <summary>Volts at the studs and amperes in a state.</summary>
    public (double Volts, double Amperes) At(BenchState state)
    {
        if (state.BankResistance is not { } bank)
            return (CeilingVolts, 0);
        var ohms = bank.Value + Series;
        var limited = CeilingVolts / (ohms + CeilingOhms);
        var amperes =
            state.Mode.Characteristic == Characteristic.ConstantVoltage
                ? Math.Min(limited, state.Setting.Value / ohms)
                : Math.Min(limited, state.Setting.Value / (1 + Gain));
        return (amperes * ohms, amperes);
    }
}
