using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>What one mode of the unit is assumed to do, from its nameplate: for predictions, and at its worst for ratings.</summary>
/// <remarks>
/// Predicted: the control holds its setting up to a straight ceiling from the open-circuit voltage E (middle of the
/// nameplate's band) to the ceiling current I_c in a short circuit, U = E·(1 − I/I_c). Common practice, no source.
/// E = 72 V, I_c = 600 A: at 300 A the ceiling is 36 V, so 300 A set is delivered into 0.1 Ω (30 V), and into 0.2 Ω the
/// ceiling gives 72/(0.12 + 0.2) = 225 A. Where the plate rates more volts than that line has at rated amperes, the line is
/// bent up through the rated point: rated 36 V at 400 A, it falls by (72 − 36)/400 = 0.09 Ω to there, then straight to I_c.
/// </remarks>
internal sealed class UnitModel
{
    public UnitModel(UnitMode mode)
    {
        Mode = mode;
        LoadLine = new ModeLoadLine(mode);
        OpenCircuit = (mode.LowestOpenCircuit.Value + mode.HighestOpenCircuit.Value) / 2;
    }

    public UnitMode Mode { get; }

    public ModeLoadLine LoadLine { get; }

    /// <summary>Assumed open-circuit voltage, V: the middle of the nameplate's band.</summary>
    public double OpenCircuit { get; }

    public bool SetsVolts => Mode.Characteristic == Characteristic.ConstantVoltage;

    public double MinimumSetting => Mode.MinimumSetting.Value;

    public double MaximumSetting => Mode.MaximumSetting.Value;

    public Unit SettingUnit => SetsVolts ? Unit.Volt : Unit.Ampere;

    public Quantity Setting(double value) => new(value, SettingUnit);

    /// <summary>Open-circuit volts at a setting, V: the setting itself on constant voltage, the nameplate's otherwise.</summary>
    public double OpenVolts(double setting) => SetsVolts ? Math.Min(setting, OpenCircuit) : OpenCircuit;

    /// <summary>Setting that belongs to a current on the load line.</summary>
    public double SettingFor(double amperes) => SetsVolts ? LoadLine.Volts(amperes) : amperes;

    /// <summary>Current on the load line that belongs to a setting; null where the line has none.</summary>
    public double? AmperesFor(double setting) => SetsVolts ? LoadLine.Amperes(setting) : setting;

    /// <summary>Predicted amperes into a total resistance at the studs, Ω above zero.</summary>
    public double AmperesInto(double setting, double ohms) => AmperesInto(setting, ohms, OpenCircuit);

    /// <summary>Amperes into a total resistance at the studs, with another open-circuit voltage than the assumed one.</summary>
    public double AmperesInto(double setting, double ohms, double openCircuit) =>
        Math.Min(Regulated(setting, ohms, openCircuit), Ceiling(ohms, openCircuit));

    /// <summary>Whether the control, not the ceiling, sets the output into this resistance.</summary>
    public bool RegulatesInto(double setting, double ohms) =>
        Regulated(setting, ohms, OpenCircuit) <= Ceiling(ohms, OpenCircuit);

    /// <summary>The characteristic that ratings are held against: setting high by its tolerance, ceiling at its highest.</summary>
    /// <param name="setting">Setting of the control.</param>
    /// <param name="regulates">Whether the point is one where the control sets the output; else the ceiling line bounds the volts.</param>
    public SourceCharacteristic Worst(double setting, bool regulates)
    {
        var high = setting * (1 + Mode.SettingTolerance);
        var ceiling = Mode.HighestOpenCircuit;
        // Beyond the rated point a bent ceiling lies below the line carried on.
        if (!regulates)
            return new Drooping(ceiling, new(CeilingFall(ceiling.Value)));
        return Mode.Characteristic switch
        {
            Characteristic.ConstantCurrent => new ConstantCurrent(new(high), ceiling),
            Characteristic.ConstantVoltage => new ConstantVoltage(
                new(Math.Min(high, ceiling.Value)),
                Mode.CeilingAmperes,
                ceiling
            ),
            _ => new Drooping(ceiling, new(Slope(high, ceiling.Value))),
        };
    }

    /// <summary>Volts and amperes with the control lost: ceiling volts, or what the ceiling current makes of this resistance.</summary>
    /// <remarks>U = min(E_high, I_c·R), a rectangle, because no more is known. 80 V, 600 A on 0.1 Ω: 60 V and 600 A.</remarks>
    public (double Volts, double Amperes) ControlLost(double ohms)
    {
        var volts = Math.Min(Mode.HighestOpenCircuit.Value, Mode.CeilingAmperes.Value * ohms);
        return (volts, volts / ohms);
    }

    /// <summary>The assumed model behind a prediction, in words.</summary>
    public string Words(double setting, bool regulates) =>
        regulates
            ? Mode.Characteristic switch
            {
                Characteristic.ConstantCurrent =>
                    $"constant current, {Figures.With(setting, "A", 4)} ± {Figures.Of(Mode.SettingTolerance * 100, 3)} %",
                Characteristic.ConstantVoltage =>
                    $"constant voltage, {Figures.With(setting, "V", 4)} ± {Figures.Of(Mode.SettingTolerance * 100, 3)} %",
                _ =>
                    $"drooping, {Figures.With(OpenCircuit, "V", 4)} less {Figures.Of(Slope(setting, OpenCircuit) * 100, 3)} V/100 A, ± {Figures.Of(Mode.SettingTolerance * 100, 3)} %",
            }
            : $"ceiling, {(IsBent(OpenCircuit) ? $"through {Figures.With(Mode.RatedVolts.Value, "V", 4)} at {Figures.With(Mode.RatedAmperes.Value, "A", 4)}" : "straight")} from {Figures.With(OpenCircuit, "V", 4)} open to {Figures.With(Mode.CeilingAmperes.Value, "A", 4)} short (nameplate)";

    /// <summary>Amperes of the ceiling into a resistance: the lesser of its two straight parts.</summary>
    private double Ceiling(double ohms, double openCircuit)
    {
        var first = openCircuit / (ohms + CeilingFall(openCircuit));
        if (!IsBent(openCircuit))
            return first;
        var (volts, amperes, most) = (Mode.RatedVolts.Value, Mode.RatedAmperes.Value, Mode.CeilingAmperes.Value);
        return Math.Min(first, volts * most / (ohms * (most - amperes) + volts));
    }

    /// <summary>Whether the straight line from open circuit to ceiling current would pass below the nameplate's rated point.</summary>
    private bool IsBent(double openCircuit) =>
        openCircuit * (1 - Mode.RatedAmperes.Value / Mode.CeilingAmperes.Value) < Mode.RatedVolts.Value;

    /// <summary>Fall of the ceiling from open circuit to the rated point, Ω.</summary>
    private double CeilingFall(double openCircuit) =>
        IsBent(openCircuit)
            ? (openCircuit - Mode.RatedVolts.Value) / Mode.RatedAmperes.Value
            : openCircuit / Mode.CeilingAmperes.Value;

    private double Regulated(double setting, double ohms, double openCircuit) =>
        Mode.Characteristic switch
        {
            Characteristic.ConstantCurrent => setting,
            Characteristic.ConstantVoltage => setting / ohms,
            _ => openCircuit / (ohms + Slope(setting, openCircuit)),
        };

    /// <summary>Fall of volts per ampere that puts the setting on the load line, Ω.</summary>
    /// <remarks>(E − U(I))/I. E = 72 V, 200 A at 28 V: 0.22 Ω, said 22 V/100 A.</remarks>
    private double Slope(double setting, double openCircuit) =>
        Math.Max((openCircuit - LoadLine.Volts(setting)) / setting, CeilingFall(openCircuit));
}
