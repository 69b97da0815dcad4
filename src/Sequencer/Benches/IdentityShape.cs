using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>How an instrument proves what it is: a known register, or its reply to <c>*IDN?</c>.</summary>
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

    /// <summary>The identity.</summary>
    internal static readonly MappingShape<IdentityCheck> Identity = new(
        "identity",
        Of.Keys(Register, Reads, Serial, Maker, Model),
        f =>
            f.Has(Register)
                ? new IdentityCheck.KnownRegister(f.Get(Register), f.Get(Reads), f.Maybe(Serial))
                : new IdentityCheck.IdentificationQuery(f.Get(Maker), f.Get(Model)),
        Check
    );

    private static void Check(Fields f)
    {
        var isRegister = f.Has(Register) && f.Has(Reads) && !f.Has(Maker) && !f.Has(Model);
        var isReply = f.Has(Maker) && f.Has(Model) && !f.Has(Register) && !f.Has(Reads) && !f.Has(Serial);
        if (isRegister == isReply)
        {
            f.Findings.Error(
                f.Place,
                "identity is either `register` and `reads` (Modbus) or `maker` and `model` (SCPI). Give one of the two pairs."
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
