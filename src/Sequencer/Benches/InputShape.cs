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

    /// <summary>A query and what it must answer.</summary>
    internal static readonly MappingShape<ReadBackText> ReadBack = ReadBackShape();

    private static readonly Key<string> Name = Key.Required(
        "name",
        Of.Text("volts"),
        "Name of the input; channels of a bench refer to it."
    );
    private static readonly Key<Unit> UnitKey = Key.Required(
        "unit",
        new WordShape<Unit>(UnitText.Words(Units)),
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
    private static readonly Key<ImmutableArray<ReadBackText>> ReadsBack = Key.Optional(
        "read back",
        Of.List(ReadBack, 1, 20, "[{ ask: \"VOLT:DC:RANG?\", answer: 100 }]"),
        "Queries after that, each with the answer it must give; numbers are compared as numbers."
    );
    private static readonly Key<string> Read = Key.Optional(
        "read",
        new CommandShape("READ?", true),
        "The query that gives one reading."
    );

    private static readonly Key<TextExchange> Ask = Key.Optional(
        "ask",
        TextExchangeShape.Exchange(("V?", "V <value number>"), [], ["value"]),
        "The question of a text instrument that gives one reading."
    );
    private static readonly Key<double> Scale = Key.Optional(
        "scale",
        new NumberShape(Bounds.From(-1e9, 1e9), "0.001"),
        "Factor from the value a text instrument sends to the unit; 1 when left out."
    );
    private static readonly Key<TextPattern> OverRange = Key.Optional(
        "over range",
        new TextPatternShape("V OL"),
        "The reply of a text instrument that says overload instead of a value."
    );
    private static readonly Key<string> PersonReads = Key.Optional(
        "person reads",
        Of.Text("volts between the studs, meter on 600 V DC"),
        "What a person sets and looks at, for a hand meter."
    );

    /// <summary>One input.</summary>
    internal static readonly MappingShape<InputDefinition> Input = new(
        "input",
        Of.Keys(
            Name,
            UnitKey,
            Aperture,
            Range,
            Resolution,
            Accuracy,
            Register,
            Configure,
            ReadsBack,
            Read,
            Ask,
            Scale,
            OverRange,
            PersonReads
        ),
        f => new InputDefinition(
            f.Get(Name),
            f.Get(UnitKey),
            f.Get(Aperture),
            f.Get(Range).Value,
            f.Get(Resolution).Value,
            f.Get(Accuracy),
            f.Maybe(Register),
            f.Has(Read) ? new InputCommands(f.Get(Configure), f.Get(ReadsBack), f.Get(Read)) : null,
            f.Place
        )
        {
            Ask = f.Maybe(Ask),
            Scale = f.Get(Scale, 1.0),
            OverRange = f.Maybe(OverRange),
            PersonReads = f.Maybe(PersonReads),
        },
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
        CheckWay(f);
    }

    private static void CheckWay(Fields f)
    {
        (Key[] Must, Key[] May)[] ways =
        [
            ([Register], []),
            ([Configure, ReadsBack, Read], []),
            ([Ask], [Scale, OverRange]),
            ([PersonReads], []),
        ];
        Key[] all = [.. ways.SelectMany(w => w.Must.Concat(w.May))];
        var given = f.Given.Where(all.Contains).ToList();
        if (ways.Any(w => w.Must.All(f.Has) && given.All(k => w.Must.Contains(k) || w.May.Contains(k))))
        {
            if (f.TryGet(OverRange, out var over) && over.Names.Any())
            {
                f.Findings.Error(f.PlaceOf(OverRange), "`over range` is a reply without fields.");
            }
            if (f.TryGet(Scale, out var scale) && scale == 0)
            {
                f.Findings.Error(f.PlaceOf(Scale), "`scale` must not be 0.");
            }
            return;
        }
        // A way begun and left unfinished is said as such.
        var begun = ways.FirstOrDefault(w => given.Count > 0 && given.All(w.Must.Contains));
        if (begun.Must is { Length: > 1 })
        {
            foreach (var key in begun.Must.Where(k => !f.Has(k)))
            {
                f.Findings.Error(f.Place, $"This input has no `{key.Name}`, which a SCPI input needs.");
            }
            return;
        }
        f.Findings.Error(
            f.Place,
            "An input has one of: `register` (Modbus); `configure`, `read back` and `read` (SCPI); `ask` (text); `person reads` (by hand). Give one of them."
        );
    }
}
