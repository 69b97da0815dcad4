using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>Where a register stands, as an instrument definition writes it.</summary>
/// <remarks>The address stays as written until the whole file is known; see <see cref="Finish"/>.</remarks>
internal static class RegisterShape
{
    private static readonly Key<RegisterTable> Table = Key.Required(
        "table",
        new WordShape<RegisterTable>([
            ("coil", RegisterTable.Coil),
            ("discrete input", RegisterTable.DiscreteInput),
            ("holding register", RegisterTable.HoldingRegister),
            ("input register", RegisterTable.InputRegister),
        ]),
        "Which of the four Modbus tables."
    );
    private static readonly Key<int> Address = Key.Required(
        "address",
        new CountShape(0, 65536),
        "Address as the instrument's manual counts it; see `addresses count from`.",
        "address: 8"
    );
    private static readonly Key<RegisterForm> Form = Key.Required(
        "form",
        new WordShape<RegisterForm>([
            ("bit", RegisterForm.Bit),
            ("unsigned 16", RegisterForm.Unsigned16),
            ("signed 16", RegisterForm.Signed16),
            ("unsigned 32", RegisterForm.Unsigned32),
            ("signed 32", RegisterForm.Signed32),
            ("float 32", RegisterForm.Float32),
        ]),
        "How the bytes are read."
    );
    private static readonly Key<double> Scale = Key.Optional(
        "scale",
        new NumberShape(Bounds.From(-1e9, 1e9), "0.01"),
        "Factor from the raw value to the unit; 1 when left out."
    );

    private static readonly Key<BitField> Bits = Key.Optional(
        "bits",
        BitsShape(),
        "The bits of an unsigned form that hold the number; all of them when left out.",
        "bits: { first: 4, count: 2 }"
    );

    /// <summary>One register.</summary>
    internal static readonly MappingShape<RegisterText> Register = new(
        "register",
        Of.Keys(Table, Address, Form, Bits, Scale),
        f => new RegisterText(f.Get(Table), f.Get(Address), f.Get(Form), false, f.Get(Scale, 1.0))
        {
            Bits = f.MaybeValue(Bits),
        },
        Check
    );

    /// <summary>Whether the form takes two registers, whose order then matters.</summary>
    internal static bool IsTwoWords(RegisterForm form) =>
        form is RegisterForm.Unsigned32 or RegisterForm.Signed32 or RegisterForm.Float32;

    /// <summary>The register with the file's address base taken off and its word order put in.</summary>
    internal static RegisterText Finish(
        RegisterText written,
        int addressBase,
        bool isLowWordFirst,
        bool isLowByteFirst
    ) =>
        written with
        {
            Address = written.Address - addressBase,
            IsLowWordFirst = isLowWordFirst && IsTwoWords(written.Form),
            IsLowByteFirst = isLowByteFirst && written.Form != RegisterForm.Bit,
        };

    private static MappingShape<BitField> BitsShape()
    {
        var first = Key.Required("first", new CountShape(0, 31), "Lowest of them; the register's lowest is 0.");
        var count = Key.Required("count", new CountShape(1, 31), "How many.");
        return new MappingShape<BitField>("bits", Of.Keys(first, count), f => new BitField(f.Get(first), f.Get(count)));
    }

    private static void Check(Fields f)
    {
        f.Demand(
            Form,
            Bits,
            (form, bits) =>
                form == RegisterForm.Unsigned16 && bits.First + bits.Count <= 16
                || form == RegisterForm.Unsigned32 && bits.First + bits.Count <= 32,
            "`bits` lie inside an unsigned form: 16 of them, or 32."
        );
        f.Demand(
            Table,
            Form,
            (table, form) => (table is RegisterTable.Coil or RegisterTable.DiscreteInput) == (form == RegisterForm.Bit),
            "Coils and discrete inputs have the form `bit`; registers have one of the other forms."
        );
        f.Demand(
            Form,
            Scale,
            (form, scale) => form != RegisterForm.Bit && scale != 0,
            "`scale` must not be 0, and a bit has none."
        );
    }
}
