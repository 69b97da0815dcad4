using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What an instrument definition says of one input.</summary>
internal static class InputShape
{
    private static readonly ImmutableArray<Unit> Units =
    [
        Unit.Volt,
        Unit.Ampere,
        Unit.Watt,
        Unit.Ohm,
        Unit.Celsius,
        Unit.Hertz,
        Unit.RevolutionPerMinute,
    ];

    private static readonly Key<string> Name = Key.Required(
        "name",
        Of.Text("volts"),
        "Name of the input; channels of a bench refer to it."
    );
    private static readonly Key<Unit> UnitKey = Key.Required(
        "unit",
        new WordShape<Unit>([.. Units.Select(u => (UnitText.Usual(u), u))]),
        "Unit of its value."
    );
    private static readonly Key<TimeSpan> Aperture = Key.Required(
        "aperture",
        Of.Time(0, 20, "20 ms"),
        "Time one reading integrates over."
    );
    private static readonly Key<Quantity> Range = Key.Required(
        "range",
        new MixedQuantityShape(Units, "100 V"),
        "Largest magnitude it reads as it is set here."
    );
    private static readonly Key<Quantity> Resolution = Key.Required(
        "resolution",
        new MixedQuantityShape(Units, "10 mV"),
        "Smallest step of its indication on that range."
    );
    private static readonly Key<AccuracySpecification> Accuracy = Key.Required(
        "accuracy",
        AccuracyShape.Accuracy,
        "Accuracy on that range as its data sheet gives it.",
        "accuracy: { of reading: 35 ppm, of range: 5 ppm, … }"
    );
    private static readonly Key<RegisterText> Register = Key.Optional(
        "register",
        RegisterShape.Register,
        "Where a Modbus instrument holds it."
    );
    private static readonly Key<ImmutableArray<string>> Configure = Key.Optional(
        "configure",
        Of.List(new CommandShape("CONF:VOLT:DC 100", null), 1, 20, "[\"CONF:VOLT:DC 100\"]"),
        "Commands sent in order, at the gate, to set a SCPI instrument."
    );
    private static readonly Key<ImmutableArray<ReadBackText>> ReadBack = Key.Optional(
        "read back",
        Of.List(ReadBackShape(), 1, 20, "[{ ask: \"VOLT:DC:RANG?\", answer: 100 }]"),
        "Queries after that, each with the answer it must give; numbers are compared as numbers."
    );
    private static readonly Key<string> Read = Key.Optional(
        "read",
        new CommandShape("READ?", true),
        "The query that gives one reading."
    );

    /// <summary>One input.</summary>
    internal static readonly MappingShape<InputDefinition> Input = new(
        "input",
        Of.Keys(Name, UnitKey, Aperture, Range, Resolution, Accuracy, Register, Configure, ReadBack, Read),
        f => new InputDefinition(
            f.Get(Name),
            f.Get(UnitKey),
            f.Get(Aperture),
            f.Get(Range).Value,
            f.Get(Resolution).Value,
            f.Get(Accuracy),
            f.Maybe(Register),
            f.Has(Read) ? new InputCommands(f.Get(Configure), f.Get(ReadBack), f.Get(Read)) : null,
            f.Place
        ),
        Check
    );

    private static MappingShape<ReadBackText> ReadBackShape()
    {
        var ask = Key.Required("ask", new CommandShape("VOLT:DC:RANG?", true), "The query.");
        var answer = Key.Required("answer", Of.Text("100"), "What it must answer.");
        return new MappingShape<ReadBackText>(
            "read back",
            Of.Keys(ask, answer),
            f => new ReadBackText(f.Get(ask), f.Get(answer))
        );
    }

    private static void Check(Fields f)
    {
        foreach (var key in new[] { Range, Resolution })
        {
            f.Demand(
                UnitKey,
                key,
                (unit, q) => q.Unit == unit,
                $"`{key.Name}` is not in the unit of this input, `unit`."
            );
            if (f.TryGet(key, out var value) && !(value.Value > 0))
            {
                f.Findings.Error(f.PlaceOf(key), $"`{key.Name}` is not above zero.");
            }
        }
        f.Demand(
            Range,
            Resolution,
            (range, step) => step.Value < range.Value,
            "`resolution` is not finer than `range`."
        );
        Key[] commands = [Configure, ReadBack, Read];
        if (f.Has(Register) == commands.Any(f.Has))
        {
            f.Findings.Error(
                f.Place,
                "An input has either a `register` (Modbus) or `configure`, `read back` and `read` (SCPI). Give one of the two."
            );
        }
        else if (!f.Has(Register))
        {
            foreach (var key in commands.Where(k => !f.Has(k)))
            {
                f.Findings.Error(f.Place, $"This input has no `{key.Name}`, which a SCPI input needs.");
            }
        }
    }
}
