using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>The step <c>by hand</c>: what is read, with which meter, and its limit.</summary>
internal static class HandSteps
{
    private static readonly Key<string> Said = Key.Required(
        "by hand",
        Of.Text("Rotor resistance, slip ring to slip ring"),
        "What a person measures and types."
    );

    private static readonly Key<Unit> InUnit = Key.Optional(
        "unit",
        new WordShape<Unit>(
            UnitText.Words([
                Unit.Ohm,
                Unit.Volt,
                Unit.Ampere,
                Unit.Hertz,
                Unit.RevolutionPerMinute,
                Unit.Celsius,
                Unit.Second,
            ])
        ),
        "Unit of the value, when `expect` does not say it."
    );

    private static readonly Key<Limit> Expect = Key.Optional(
        "expect",
        new LimitShape<Limit>(
            [],
            [
                BaseName.RatedCurrent,
                BaseName.RatedVoltage,
                BaseName.RatedAuxiliaryVoltage,
                BaseName.RatedFrequency,
                BaseName.RatedRatio,
            ],
            "8.2 Ω to 9.4 Ω",
            l => l
        ),
        "Limit it is judged by; left out, it is recorded and not judged."
    );

    private static readonly Key<string> With = Key.Optional(
        "with",
        Of.Text("hand-1"),
        "The meter it is read with, by its id on the bench; a limit is judged only with one, by its specification and certificate."
    );

    private static readonly Key<string> Input = Key.Optional(
        "input",
        Of.Text("ohms"),
        "Which input of that meter, where it has more than one in this unit."
    );

    /// <summary>The step.</summary>
    internal static StepKind Make() =>
        new StepKind(
            "by hand",
            false,
            new MappingShape<ProfileStep>(
                "step by hand",
                Of.Keys(Said, InUnit, Expect, ExpectShape.From, With, Input),
                f => new ByHandStep(
                    f.Get(Said),
                    f.Has(InUnit) ? f.Get(InUnit) : UnitOf(f.Get(Expect)),
                    f.TryGet(Expect, out var limit)
                        ? new Expectation(Measurand.Value, limit) { From = f.Maybe(ExpectShape.From) }
                        : null,
                    f.Place
                )
                {
                    With = f.Maybe(With) is { } meter
                        ? new ByHandStep.Meter(meter, f.Maybe(Input), f.PlaceOf(With))
                        : null,
                },
                f =>
                {
                    if (!f.Has(InUnit) && !f.Has(Expect))
                    {
                        f.Findings.Error(
                            f.Place,
                            "`by hand` gives neither `expect` nor `unit`, so the unit of its value is open. Add for example `unit: Ω`."
                        );
                    }
                    if (f.Has(ExpectShape.From) && !f.Has(Expect))
                    {
                        f.Findings.Error(
                            f.PlaceOf(ExpectShape.From),
                            "`from` says where a limit is taken from, and there is none here. Add `expect`, or delete it."
                        );
                    }
                    if (f.Has(Input) && !f.Has(With))
                    {
                        f.Findings.Error(
                            f.PlaceOf(Input),
                            "`input` names no meter by itself. Add `with` and the meter's id on the bench, for example `with: hand-1`."
                        );
                    }
                    f.Demand(InUnit, Expect, (u, l) => UnitOf(l) == u, "`expect` is not in the unit given by `unit`.");
                }
            )
        );

    private static Unit UnitOf(Limit limit) => limit.First.Of is { } name ? BaseText.Units(name)[0] : limit.First.Unit;
}
