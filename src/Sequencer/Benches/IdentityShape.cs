using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>How an instrument proves what it is: a known register, its reply to <c>*IDN?</c> or to a question of its own, or a person looks.</summary>
internal static class IdentityShape
{
    private static readonly Key<RegisterText> Register = Key.Optional(
        "register",
        RegisterShape.Register,
        "A register whose value is known; it proves address base and word order too."
    );
    private static readonly Key<double> Reads = Key.Optional(
        "reads",
        new NumberShape(Bounds.From(-1e12, 1e12), "1234.5"),
        "The value that register holds."
    );
    private static readonly Key<RegisterText> Serial = Key.Optional(
        "serial number",
        RegisterShape.Register,
        "The register that holds the serial number; left out when there is none."
    );
    private static readonly Key<string> Maker = Key.Optional(
        "maker",
        Of.Text("SIMULATED BENCH"),
        "First field of the reply to *IDN?."
    );
    private static readonly Key<string> Model = Key.Optional(
        "model",
        Of.Text("METER"),
        "Second field of that reply; the third is the serial number."
    );

    private static readonly Key<ReadBackText> KnownAnswer = Key.Optional(
        "known answer",
        InputShape.ReadBack,
        "A further SCPI question whose answer is known.",
        "known answer: { ask: \"SYST:VERS?\", answer: 1999.0 }"
    );
    private static readonly Key<TextExchange> Ask = Key.Optional(
        "ask",
        TextExchangeShape.Exchange(("ID?", "ID EB-6T <serial word>"), [], [], "serial"),
        "A question whose reply names the kind in fixed characters; the field `serial` holds the serial number."
    );
    private static readonly Key<TextExchange> Known = Key.Optional(
        "known value",
        TextExchangeShape.Exchange(("REF?", "REF <value number>"), [], ["value"]),
        "A question of a text instrument whose answer is the number in `reads`."
    );
    private static readonly Key<string> Looks = Key.Optional(
        "person reads",
        Of.Text("the label on the back of the meter"),
        "Where a person finds the serial number."
    );

    /// <summary>The identity.</summary>
    internal static readonly MappingShape<IdentityCheck> Identity = new(
        "identity",
        Of.Keys(Register, Reads, Serial, Maker, Model, KnownAnswer, Ask, Known, Looks),
        Build,
        Check
    );

    private static IdentityCheck Build(Fields f) =>
        f.Has(Register) ? new IdentityCheck.KnownRegister(f.Get(Register), f.Get(Reads), f.Maybe(Serial))
        : f.Has(Ask) ? new IdentityCheck.Question(f.Get(Ask), f.Get(Known), f.Get(Reads))
        : f.Has(Looks) ? new IdentityCheck.Person(f.Get(Looks))
        : new IdentityCheck.IdentificationQuery(f.Get(Maker), f.Get(Model)) { Known = f.Maybe(KnownAnswer) };

    private static void Check(Fields f)
    {
        (Key[] Must, Key[] May)[] ways =
        [
            ([Register, Reads], [Serial]),
            ([Maker, Model], [KnownAnswer]),
            ([Ask, Known, Reads], []),
            ([Looks], []),
        ];
        if (!ways.Any(w => w.Must.All(f.Has) && f.Given.All(k => w.Must.Contains(k) || w.May.Contains(k))))
        {
            f.Findings.Error(
                f.Place,
                "identity is one of: `register` and `reads` (Modbus), `maker` and `model` (SCPI), `ask`, `known value` and `reads` (text), or `person reads` (by hand)."
            );
        }
        f.Demand(
            Register,
            Reads,
            (register, value) => register.Form == RegisterForm.Float32 || value == Math.Floor(value),
            "`reads` is not a whole number, but its register holds whole numbers."
        );
        if (f.TryGet(Reads, out var reads) && reads == 0)
        {
            f.Findings.Error(
                f.PlaceOf(Reads),
                "`reads` is 0, which an unused register holds as well. Choose a register with another known value."
            );
        }
    }
}
