using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Steps that measure on the live output.</summary>
internal static class LoadSteps
{
    /// <summary><c>no load</c>.</summary>
    internal static readonly StepKind NoLoad = MakeNoLoad();

    /// <summary><c>curve</c> with a setting of its own.</summary>
    internal static readonly StepKind Curve = MakeCurve(isInLoop: false);

    /// <summary><c>curve</c> inside <c>for each: control setting</c>, which gives the setting.</summary>
    internal static readonly StepKind CurveInLoop = MakeCurve(isInLoop: true);

    /// <summary><c>settings along the load line</c>.</summary>
    internal static readonly StepKind LoadLine = MakeSweep(
        "settings along the load line",
        isAtRequired: false,
        "Set against actual against indicated, along the conventional load line.",
        [
            Measurand.SetCurrentError,
            Measurand.IndicatedCurrentError,
            Measurand.SetVoltageError,
            Measurand.IndicatedVoltageError,
            Measurand.OutputCurrent,
            Measurand.OutputVoltage,
            Measurand.OutputPower,
        ],
        (mode, at, both, panel, expect, place) => new LoadLineStep(mode, at, both, panel, expect, place)
    );

    /// <summary><c>shunt sweep</c>.</summary>
    internal static readonly StepKind ShuntSweep = MakeSweep(
        "shunt sweep",
        isAtRequired: true,
        "Current by control, the unit's shunt against the bench's, zero readings before and after.",
        [Measurand.ShuntRatio, Measurand.SetCurrentError, Measurand.IndicatedCurrentError],
        (mode, at, both, panel, expect, place) => new ShuntSweepStep(mode, at, both, panel, expect, place)
    );

    /// <summary><c>hold</c>.</summary>
    internal static readonly StepKind Hold = MakeHold();

    internal static StepKind Nested<T>(
        string word,
        bool mayStandAlone,
        string help,
        string example,
        MappingShape<T> inner
    )
        where T : ProfileStep
    {
        var key = Key.Required(word, inner, help, example);
        return new StepKind(
            word,
            mayStandAlone,
            new MappingShape<ProfileStep>($"step {inner.Name}", [key], f => f.Get(key) with { Place = f.Place })
        );
    }

    private static StepKind MakeNoLoad()
    {
        var expect = ExpectShape.Key("no load", Measurand.OutputVoltage);
        return Nested(
            "no load",
            true,
            "Every element off, output enabled, volts measured.",
            "no load",
            new MappingShape<NoLoadStep>(
                "no load",
                [expect],
                f => new NoLoadStep(f.Get(expect, []), f.Place),
                mayBeEmpty: true
            )
        );
    }

    private static StepKind MakeCurve(bool isInLoop)
    {
        var name = isInLoop ? "curve in for each" : "curve";
        var mode = PersonSteps.ModeKey();
        var setting = Key.Required("setting", SettingShape.Setting, "Setting of the control.");
        var points = Key.Required(
            "points",
            new CountShape(4, 50),
            "Number of points, open circuit among them.",
            "points: 9"
        );
        var expect = ExpectShape.Key(
            "curve",
            Measurand.OpenCircuitVoltage,
            Measurand.CurrentAtLoadLine,
            Measurand.CurveSlope
        );
        return Nested(
            "curve",
            false,
            "Resistance swept from open to the lowest allowed, at one setting.",
            isInLoop ? "curve: { points: 9 }" : "curve: { setting: 100 % of rated current, points: 9 }",
            new MappingShape<CurveStep>(
                name,
                isInLoop ? Of.Keys(mode, points, expect) : Of.Keys(mode, setting, points, expect),
                f => new CurveStep(f.Maybe(mode), f.Maybe(setting), f.Get(points), f.Get(expect, []), f.Place)
            )
        );
    }

    private static StepKind MakeSweep<T>(
        string word,
        bool isAtRequired,
        string help,
        Measurand[] measurands,
        Func<string?, ImmutableArray<Amount>, bool, bool, ImmutableArray<Expectation>, Place, T> make
    )
        where T : ProfileStep
    {
        var mode = PersonSteps.ModeKey();
        var at = isAtRequired
            ? Key.Required("at", SettingShape.List(), "Settings of the control.", "at: [25 %, 50 %, 100 %]")
            : Key.Optional(
                "at",
                SettingShape.List(),
                "Settings of the control; minimum, three between and maximum when left out."
            );
        var of = SettingShape.OfKey();
        var both = Key.Required("both ways", Of.YesNo, "Whether each is taken once rising and once falling.");
        var panel = Key.Required("read panel", Of.YesNo, "Whether a person reads the panel meters at each.");
        var expect = ExpectShape.Key(word, measurands);
        return Nested(
            word,
            false,
            help,
            isAtRequired
                ? $"{word}: {{ at: [25 %, 100 %], of: rated current, both ways: yes, read panel: no }}"
                : $"{word}: {{ both ways: yes, read panel: yes }}",
            new MappingShape<T>(
                word,
                Of.Keys(mode, at, of, both, panel, expect),
                f =>
                    make(
                        f.Maybe(mode),
                        SettingShape.Resolved(f, at, of),
                        f.Get(both),
                        f.Get(panel),
                        f.Get(expect, []),
                        f.Place
                    ),
                f =>
                {
                    SettingShape.Check(f, at, of);
                    if (
                        f.TryGet(panel, out var reads)
                        && !reads
                        && f.TryGet(expect, out var limits)
                        && limits.Any(l =>
                            l.Measurand is Measurand.IndicatedCurrentError or Measurand.IndicatedVoltageError
                        )
                    )
                    {
                        f.Findings.Error(
                            f.PlaceOf(panel),
                            "`expect` limits an indicated error, but the panel is not read. Write `read panel: yes`."
                        );
                    }
                }
            )
        );
    }

    private static StepKind MakeHold()
    {
        var mode = PersonSteps.ModeKey();
        var at = Key.Required("at", SettingShape.Setting, "Setting of the control, on the conventional load line.");
        var time = Key.Required("for", Of.Time(1, 14400, "10 min"), "How long.");
        var expect = ExpectShape.Key(
            "hold",
            Measurand.OutputVoltage,
            Measurand.OutputCurrent,
            Measurand.OutputPower,
            Measurand.Drift
        );
        return Nested(
            "hold",
            false,
            "One setting on the load line for a time.",
            "hold: { at: 60 % of rated current, for: 10 min }",
            new MappingShape<HoldStep>(
                "hold",
                Of.Keys(mode, at, time, expect),
                f => new HoldStep(f.Maybe(mode), f.Get(at), f.Get(time), f.Get(expect, []), f.Place)
            )
        );
    }
}
