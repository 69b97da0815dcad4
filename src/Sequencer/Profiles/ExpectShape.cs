using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>The limits a step is judged by.</summary>
internal static class ExpectShape
{
    /// <summary>Where a limit is taken from; beside the limits of a step, and beside that of a value by hand.</summary>
    internal static readonly Key<string> From = Text.Shapes.Key.Optional(
        "from",
        Of.Text("shop standard WS-7, 4.2"),
        "Standard or document the limits here are taken from, as the report shall name it; left out, they are the profile's own."
    );

    /// <summary>The key <c>expect</c> of a step that measures these.</summary>
    internal static Key<ImmutableArray<Expectation>> Key(string step, params Measurand[] measurands)
    {
        Key<Expectation>[] keys = [.. measurands.Select(One)];
        var shape = new MappingShape<ImmutableArray<Expectation>>(
            $"expect of {step}",
            [.. keys, From],
            f => [.. f.Given.OfType<Key<Expectation>>().Select(k => f.Get(k) with { From = f.Maybe(From) })],
            f =>
            {
                if (f.IsEmpty || (f.Has(From) && keys.All(k => !f.Has(k))))
                {
                    f.Findings.Error(
                        f.Place,
                        "`expect` names no limit. Name a quantity and its limit, or leave `expect` out."
                    );
                }
            }
        );
        return Text.Shapes.Key.Optional(
            "expect",
            shape,
            "Limits it is judged by; left out, it is measured and not judged.",
            $"expect: {{ {keys[0].Example} }}"
        );
    }

    private static Key<Expectation> One(Measurand measurand)
    {
        var (word, _, unit, example) = MeasurandText.All.First(m => m.Measurand == measurand);
        return Text.Shapes.Key.Optional(
            word,
            new LimitShape<Expectation>([unit], Bases(measurand, unit), example, l => new Expectation(measurand, l)),
            $"Limit on {word}."
        );
    }

    // A drift, a dip or a regulation is a share by its definition; every other percentage says of what.
    private static ImmutableArray<BaseName> Bases(Measurand measurand, Unit unit) =>
        unit == Unit.Fraction ? []
        : measurand == Measurand.AuxiliaryVoltage ? [BaseName.RatedAuxiliaryVoltage]
        : measurand == Measurand.AuxiliaryFrequency ? [BaseName.RatedFrequency]
        : measurand == Measurand.AuxiliaryPower ? []
        :
        [
            .. BaseText
                .All.Where(b => BaseText.Units(b.Base).Contains(unit) && b.Base != BaseName.RatedAuxiliaryVoltage)
                .Select(b => b.Base),
        ];
}
