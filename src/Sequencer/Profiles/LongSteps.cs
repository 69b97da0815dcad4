using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Steps that take long or go fast: heat run and transient; and those of the auxiliary output.</summary>
internal static class LongSteps
{
    /// <summary><c>heat run</c>.</summary>
    internal static readonly StepKind HeatRun = MakeHeatRun();

    /// <summary><c>transient</c>.</summary>
    internal static readonly StepKind Transient = MakeTransient();

    /// <summary><c>auxiliary load</c>.</summary>
    internal static readonly StepKind Auxiliary = MakeAuxiliary();

    /// <summary><c>weld and auxiliary load</c>.</summary>
    internal static readonly StepKind WeldAndAuxiliary = MakeWeldAndAuxiliary();

    private static Measurand[] OfAuxiliary =>
        [Measurand.AuxiliaryVoltage, Measurand.AuxiliaryFrequency, Measurand.AuxiliaryPower];

    private static StepKind MakeHeatRun()
    {
        var mode = PersonSteps.ModeKey();
        var at = Key.Required("at", SettingShape.Setting, "Setting of the control, on the conventional load line.");
        var duty = Key.Optional(
            "duty cycle",
            Of.Fraction(Bounds.From(0.1, 0.95), "60 %"),
            "On-load share of ten minutes; left out, the load stays on."
        );
        var off = Key.Optional(
            "off part",
            new WordShape<OffPart>([("no load", OffPart.NoLoad), ("control at minimum", OffPart.ControlAtMinimum)]),
            "What is done in the rest of the ten minutes; must stand with `duty cycle`."
        );
        var most = Key.Required("at most", Of.Time(60, 172800, "3 h"), "When it ends at the latest.");
        var equilibrium = Key.Optional(
            "equilibrium",
            Equilibrium(),
            "Ends it before, once the unit stops warming; left out, it runs its whole time."
        );
        var expect = ExpectShape.Key(
            "heat run",
            Measurand.UnitTemperatureRise,
            Measurand.UnitTemperature,
            Measurand.OutputVoltage,
            Measurand.OutputCurrent,
            Measurand.OutputPower
        );
        return LoadSteps.Nested(
            "heat run",
            false,
            "One setting on the load line, with or without a duty cycle, until the unit is warm or a time is over.",
            "heat run: { at: 100 % of rated current, duty cycle: 60 %, off part: no load, at most: 3 h }",
            new MappingShape<HeatRunStep>(
                "heat run",
                Of.Keys(mode, at, duty, off, most, equilibrium, expect),
                f => new HeatRunStep(
                    f.Maybe(mode),
                    f.Get(at),
                    f.MaybeValue(duty),
                    f.Get(off, OffPart.None),
                    f.Get(most),
                    f.Maybe(equilibrium),
                    f.Get(expect, []),
                    f.Place
                ),
                f =>
                {
                    if (f.Has(duty) != f.Has(off))
                    {
                        f.Findings.Error(
                            f.Place,
                            f.Has(duty)
                                ? "`duty cycle` does not say what is done in the off part. Write `off part: no load` or `off part: control at minimum`."
                                : "`off part` stands without `duty cycle`. Add for example `duty cycle: 60 %`, or delete it."
                        );
                    }
                    f.Demand(
                        equilibrium,
                        most,
                        (e, m) => m > e.Over,
                        "`at most` is not longer than `over` of `equilibrium`, so no equilibrium could be found."
                    );
                }
            )
        );
    }

    private static MappingShape<EquilibriumRule> Equilibrium()
    {
        var within = Key.Required(
            "within",
            Of.Quantity(Unit.Kelvin, Bounds.From(0.1, 20), "2 K"),
            "Most change of the unit temperature over that time."
        );
        var over = Key.Required(
            "over",
            Of.Time(3600, 14400, "60 min"),
            "Length of the time looked at; an hour is usual (IEC 60974-1, from memory)."
        );
        return new MappingShape<EquilibriumRule>(
            "equilibrium",
            Of.Keys(within, over),
            f => new EquilibriumRule(f.Get(within), f.Get(over))
        );
    }

    private static StepKind MakeTransient()
    {
        var mode = PersonSteps.ModeKey();
        var at = Key.Required("at", SettingShape.Setting, "Setting of the control; it stays.");
        var load = Of.Fraction(Bounds.From(0, 1.2), "50 %");
        var from = Key.Required(
            "from",
            load,
            "Load before, of what the load line draws at the setting; 0 % is the bank open."
        );
        var to = Key.Required("to", load, "Load after, likewise.", "to: 100 %");
        var sample = Key.Required(
            "sample",
            new WordShape<Measurand>([
                ("output voltage", Measurand.OutputVoltage),
                ("output current", Measurand.OutputCurrent),
            ]),
            "What is sampled fast; the bench needs a fast channel for it."
        );
        var every = Key.Required("every", Of.Time(0.001, 0.1, "5 ms"), "Wanted time between samples.");
        var after = Key.Required("for", Of.Time(0.2, 60, "3 s"), "How long it is sampled after the change.");
        var band = Key.Required(
            "steady within",
            Of.Fraction(Bounds.From(0.001, 0.2), "2 %"),
            "Half-width of the steady band, of the rated voltage or current."
        );
        var expect = ExpectShape.Key("transient", Measurand.Dip, Measurand.Overshoot, Measurand.RecoveryTime);
        return LoadSteps.Nested(
            "transient",
            false,
            "The load changes at once while one channel is sampled fast: dip, overshoot, recovery.",
            "transient: { at: 28 V, from: 0 %, to: 100 %, sample: output voltage, every: 5 ms, for: 3 s, steady within: 2 % }",
            new MappingShape<TransientStep>(
                "transient",
                Of.Keys(mode, at, from, to, sample, every, after, band, expect),
                f => new TransientStep(
                    f.Maybe(mode),
                    f.Get(at),
                    f.Get(from),
                    f.Get(to),
                    f.Get(sample),
                    f.Get(every),
                    f.Get(after),
                    f.Get(band),
                    f.Get(expect, []),
                    f.Place
                ),
                f => f.Demand(from, to, (a, b) => a != b, "`to` is the same load as `from`, so nothing would change.")
            )
        );
    }

    private static StepKind MakeAuxiliary()
    {
        var at = Key.Required(
            "at",
            Of.List(Of.Fraction(Bounds.From(0, 1.1), "50 %"), 1, 20, "[0 %, 50 %, 100 %]"),
            "Loads, of the rated auxiliary power; 0 % is none.",
            "at: [0 %, 50 %, 100 %]"
        );
        var expect = ExpectShape.Key(
            "auxiliary load",
            [.. OfAuxiliary, Measurand.VoltageRegulation, Measurand.FrequencyDroop]
        );
        return LoadSteps.Nested(
            "auxiliary load",
            false,
            "The auxiliary output alone, weld output unloaded.",
            "auxiliary load: { at: [0 %, 50 %, 100 %] }",
            new MappingShape<AuxiliaryStep>(
                "auxiliary load",
                Of.Keys(at, expect),
                f => new AuxiliaryStep(f.Get(at), f.Get(expect, []), f.Place)
            )
        );
    }

    private static StepKind MakeWeldAndAuxiliary()
    {
        var mode = PersonSteps.ModeKey();
        var expect = ExpectShape.Key(
            "weld and auxiliary load",
            [.. OfAuxiliary, Measurand.OutputVoltage, Measurand.OutputCurrent, Measurand.OutputPower]
        );
        return LoadSteps.Nested(
            "weld and auxiliary load",
            true,
            "Both outputs together, row by row of the nameplate's table `with weld`.",
            "weld and auxiliary load",
            new MappingShape<WeldAndAuxiliaryStep>(
                "weld and auxiliary load",
                Of.Keys(mode, expect),
                f => new WeldAndAuxiliaryStep(f.Maybe(mode), f.Get(expect, []), f.Place),
                mayBeEmpty: true
            )
        );
    }
}
