using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>The limits a step is judged by.</summary>
internal static class ExpectShape
{
    /// <summary>The key <c>expect</c> of a step that measures these.</summary>
    internal static Key<ImmutableArray<Expectation>> Key(string step, params Measurand[] measurands)
    {
        Key<Expectation>[] keys = [.. measurands.Select(One)];
        var shape = new MappingShape<ImmutableArray<Expectation>>(
            $"expect of {step}",
            [.. keys],
            f => [.. f.Given.OfType<Key<Expectation>>().Select(f.Get)],
            f =>
            {
                if (f.IsEmpty)
                {
                    f.Findings.Error(
                        f.Place,
                        "`expect` is empty. Name a quantity and its limit, or leave `expect` out."
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
