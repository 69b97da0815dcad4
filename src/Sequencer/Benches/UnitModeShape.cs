using LoadTest.Analysis;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a mode of a nameplate may hold.</summary>
internal static class UnitModeShape
{
    private static readonly Key<string> Name = Key.Required(
        "name",
        Of.Text("constant current"),
        "The mode's name in plain words; steps of a profile refer to it."
    );
    private static readonly Key<Characteristic> Regulates = Key.Required(
        "characteristic",
        new WordShape<Characteristic>([
            ("constant current", Characteristic.ConstantCurrent),
            ("constant voltage", Characteristic.ConstantVoltage),
            ("drooping", Characteristic.Drooping),
        ]),
        "What the control regulates."
    );
    private static readonly Key<LoadLineName> Line = Key.Required(
        "load line",
        new WordShape<LoadLineName>([
            ("covered electrode", LoadLineName.CoveredElectrode),
            ("TIG", LoadLineName.Tig),
            ("MIG/MAG", LoadLineName.MigMag),
        ]),
        "Conventional load line the mode is rated on (IEC 60974-1)."
    );
    private static readonly Key<Volts> Volts = Key.Required("rated voltage", Of.Volts("32 V"), "Rated load voltage.");
    private static readonly Key<Amperes> Amperes = Key.Required(
        "rated current",
        Of.Amperes("300 A"),
        "Rated load current."
    );
    private static readonly Key<double> Duty = Key.Required(
        "duty cycle",
        Of.Fraction(Bounds.Above(0, 1), "60 %"),
        "On-load share of ten minutes at the rating."
    );
    private static readonly Key<Quantity> Lowest = Key.Required(
        "lowest setting",
        new MixedQuantityShape([Unit.Ampere, Unit.Volt], "30 A"),
        "Lowest setting of the control: amperes, or volts in a constant-voltage mode."
    );
    private static readonly Key<Quantity> Highest = Key.Required(
        "highest setting",
        new MixedQuantityShape([Unit.Ampere, Unit.Volt], "300 A"),
        "Highest setting of the control."
    );
    private static readonly Key<Amperes> LeastAmperes = Key.Required(
        "least current",
        Of.Amperes("30 A"),
        "Least current at which the mode works as described."
    );
    private static readonly Key<(double Low, double High)> OpenCircuit = Key.Required(
        "open-circuit voltage",
        new SpanShape(Unit.Volt, Bounds.Above(0, 200), "62 V to 80 V"),
        "Open-circuit voltage the plate or manual allows; the upper bound is also taken as the ceiling with the control lost."
    );
    private static readonly Key<Amperes> Ceiling = Key.Required(
        "ceiling current",
        Of.Amperes("600 A"),
        "Most current the source can deliver into a short circuit with its control lost."
    );
    private static readonly Key<double> Tolerance = Key.Required(
        "setting tolerance",
        Of.Fraction(Bounds.Above(0, 0.5), "5 %"),
        "How far delivered may lie from set, for predictions only."
    );

    /// <summary>One mode.</summary>
    internal static readonly MappingShape<UnitMode> Mode = new(
        "mode",
        Of.Keys(
            Name,
            Regulates,
            Line,
            Volts,
            Amperes,
            Duty,
            Lowest,
            Highest,
            LeastAmperes,
            OpenCircuit,
            Ceiling,
            Tolerance
        ),
        f => new UnitMode(
            f.Get(Name),
            f.Get(Regulates),
            f.Get(Line),
            f.Get(Volts),
            f.Get(Amperes),
            f.Get(Duty),
            f.Get(Lowest),
            f.Get(Highest),
            f.Get(LeastAmperes),
            new Volts(f.Get(OpenCircuit).Low),
            new Volts(f.Get(OpenCircuit).High),
            f.Get(Ceiling),
            f.Get(Tolerance),
            f.Place
        ),
        Check
    );

    private static void Check(Fields f)
    {
        CheckSettings(f);
        f.Demand(
            Amperes,
            LeastAmperes,
            (rated, least) => least < rated,
            "`least current` is not below `rated current`."
        );
        f.Demand(Amperes, Ceiling, (rated, ceiling) => ceiling >= rated, "`ceiling current` is below `rated current`.");
        f.Demand(
            Volts,
            OpenCircuit,
            (rated, open) => open.Low > rated.Value,
            "`open-circuit voltage` must lie above `rated voltage`; the two may be swapped."
        );
        WarnOffLoadLine(f);
    }

    private static void CheckSettings(Fields f)
    {
        f.Demand(
            Lowest,
            Highest,
            (low, high) => low.Unit != high.Unit || low.Value < high.Value,
            "`highest setting` is not above `lowest setting`. Write the smaller as the lowest."
        );
        if (!f.TryGet(Regulates, out var regulates))
        {
            return;
        }
        var unit = regulates == Characteristic.ConstantVoltage ? Unit.Volt : Unit.Ampere;
        foreach (var key in new[] { Lowest, Highest })
        {
            if (f.TryGet(key, out var setting) && setting.Unit != unit)
            {
                f.Findings.Error(
                    f.PlaceOf(key),
                    $"`{key.Name}` is in {UnitText.Usual(setting.Unit)}, but the control of this mode sets {UnitText.Usual(unit)}."
                );
            }
        }
    }

    // A plate may be rated off the conventional line, but far more often a digit is wrong.
    private static void WarnOffLoadLine(Fields f)
    {
        if (!f.TryGet(Line, out var line) || !f.TryGet(Amperes, out var amperes) || !f.TryGet(Volts, out var volts))
        {
            return;
        }
        var conventional = Conventional(line, amperes.Value);
        if (Math.Abs(volts.Value - conventional) > 0.02 * conventional)
        {
            f.Findings.Warn(
                f.PlaceOf(Volts),
                $"`rated voltage` is {volts}; the load line given has {Figures.With(conventional, "V", 4)} at {amperes}. Check both against the plate."
            );
        }
    }

    /// <summary>Conventional load voltage, V (IEC 60974-1, 11.2): 300 A covered electrode gives 32 V.</summary>
    private static double Conventional(LoadLineName line, double amperes)
    {
        // Above 600 A the lines are level.
        var current = Math.Min(amperes, 600);
        return line switch
        {
            LoadLineName.CoveredElectrode => 20 + (0.04 * current),
            LoadLineName.Tig => 10 + (0.04 * current),
            _ => 14 + (0.05 * current),
        };
    }
}
