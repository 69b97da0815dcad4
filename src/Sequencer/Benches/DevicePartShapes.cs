using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What an instrument definition says beside its inputs: settings, error flags, relays, a remote setter.</summary>
internal static class DevicePartShapes
{
    private static readonly NumberShape AnyNumber = new(Bounds.From(-1e9, 1e9), "2");

    private static readonly Key<string> Name = Key.Required("name", Of.Text("filter"), "What it is called.");
    private static readonly Key<RegisterText> Register = Key.Optional(
        "register",
        RegisterShape.Register,
        "Where a Modbus instrument holds it."
    );
    private static readonly Key<TextExchange> SetValue = Key.Optional(
        "set",
        TextExchangeShape.Exchange(("FILT <value integer>", "FILT <value integer>"), ["value"], []),
        "How a text instrument is set."
    );
    private static readonly Key<TextExchange> AskValue = Key.Optional(
        "ask",
        TextExchangeShape.Exchange(("FILT?", "FILT <value integer>"), [], ["value"]),
        "How a text instrument reads it back."
    );

    /// <summary>A setting.</summary>
    internal static MappingShape<DeviceSetting> Setting()
    {
        var value = Key.Required("value", AnyNumber, "What it is set to, and must read back.");
        return new MappingShape<DeviceSetting>(
            "setting",
            Of.Keys(Name, value, Register, SetValue, AskValue),
            f => new DeviceSetting(
                f.Get(Name),
                f.Get(value),
                f.Maybe(Register),
                f.Maybe(SetValue),
                f.Maybe(AskValue),
                f.Place
            ),
            f =>
            {
                OneWay(f, [Register], [SetValue, AskValue]);
                Writable(f, Register, RegisterTable.HoldingRegister);
            }
        );
    }

    /// <summary>An error flag.</summary>
    internal static MappingShape<ErrorFlag> Flag()
    {
        var means = Key.Required("means", Of.Text("its fan stands still"), "What it says when it is up.");
        var ask = Key.Optional(
            "ask",
            TextExchangeShape.Exchange(("FLAGS?", "FLAGS <flags hex 2>"), [], ["flags"]),
            "How a text instrument is asked for its flags."
        );
        var bit = Key.Optional("bit", new CountShape(0, 31), "Which bit of that value, the lowest is 0.", "bit: 0");
        return new MappingShape<ErrorFlag>(
            "error flag",
            Of.Keys(Name, means, Register, ask, bit),
            f => new ErrorFlag(f.Get(Name), f.Get(means), f.Maybe(Register), f.Maybe(ask), f.Get(bit, 0), f.Place),
            f =>
            {
                OneWay(f, [Register], [ask]);
                var isBit = f.TryGet(Register, out var register) && register.Form == RegisterForm.Bit;
                if (f.Has(bit) == isBit)
                {
                    f.Findings.Error(
                        f.Place,
                        "`bit` says which bit of a whole value counts; a register of the form `bit` has none, anything else needs it."
                    );
                }
            }
        );
    }

    /// <summary>A relay.</summary>
    internal static MappingShape<Relay> Relay()
    {
        var role = Key.Required(
            "for",
            new WordShape<RelayRole>([("output enable", RelayRole.OutputEnable), ("other", RelayRole.Other)]),
            "What it is for; `output enable` lets the unit give output while it is closed."
        );
        var coil = Key.Optional("coil", RegisterShape.Register, "Its coil, of a Modbus instrument.");
        var contact = Key.Optional("contact", RegisterShape.Register, "The bit that says it is really closed.");
        var set = Key.Optional(
            "set",
            TextExchangeShape.Exchange(("R1 <on bits 1>", "R1 <on bits 1>"), ["on"], []),
            "How a text instrument switches it."
        );
        var ask = Key.Optional(
            "ask",
            TextExchangeShape.Exchange(("R1?", "R1 <on bits 1>"), [], ["on"]),
            "How a text instrument reads its contact."
        );
        return new MappingShape<Relay>(
            "relay",
            Of.Keys(Name, role, coil, contact, set, ask),
            f => new Relay(
                f.Get(Name),
                f.Get(role),
                f.Maybe(coil),
                f.Maybe(contact),
                f.Maybe(set),
                f.Maybe(ask),
                f.Place
            ),
            f =>
            {
                OneWay(f, [coil, contact], [set, ask]);
                Writable(f, coil, RegisterTable.Coil);
            }
        );
    }

    /// <summary>The remote setter.</summary>
    internal static MappingShape<RemoteSetter> Setter()
    {
        ImmutableArray<Unit> units = [Unit.Volt, Unit.Ampere, Unit.Ohm];
        var least = Key.Required("from", new MixedQuantityShape(units, "0 V"), "Least value it is ever set to.");
        var most = Key.Required("to", new MixedQuantityShape(units, "10 V"), "Largest value it is ever set to.");
        var within = Key.Required(
            "within",
            new MixedQuantityShape(units, "20 mV"),
            "How far what it reads back may lie from what was set."
        );
        var readBack = Key.Optional("read back", RegisterShape.Register, "Where what it really gives is measured.");
        return new MappingShape<RemoteSetter>(
            "remote setter",
            Of.Keys(Name, least, most, within, Register, readBack, SetValue, AskValue),
            f => new RemoteSetter(
                f.Get(Name),
                f.Get(least).Unit,
                f.Get(least).Value,
                f.Get(most).Value,
                f.Get(within).Value,
                f.Maybe(Register),
                f.Maybe(readBack),
                f.Maybe(SetValue),
                f.Maybe(AskValue),
                f.Place
            ),
            f =>
            {
                OneWay(f, [Register, readBack], [SetValue, AskValue]);
                Writable(f, Register, RegisterTable.HoldingRegister);
                f.Demand(
                    least,
                    most,
                    (a, b) => a.Unit == b.Unit && a.Value < b.Value,
                    "`to` is not above `from` in the same unit."
                );
                f.Demand(
                    most,
                    within,
                    (a, b) => a.Unit == b.Unit && b.Value > 0 && b.Value < a.Value,
                    "`within` is not above zero and below `to`, in its unit."
                );
            }
        );
    }

    /// <summary>Either registers or questions, and all of the kind.</summary>
    private static void OneWay(Fields f, Key[] registers, Key[] questions)
    {
        var hasRegisters = registers.Any(f.Has);
        var hasQuestions = questions.Any(f.Has);
        var all = hasRegisters ? registers : questions;
        if (hasRegisters == hasQuestions || !all.All(f.Has))
        {
            f.Findings.Error(
                f.Place,
                $"Give either {Names(registers)} (Modbus) or {Names(questions)} (text), all of the kind."
            );
        }
    }

    private static string Names(Key[] keys) => string.Join(" and ", keys.Select(k => $"`{k.Name}`"));

    private static void Writable(Fields f, Key<RegisterText> key, RegisterTable table)
    {
        if (f.TryGet(key, out var register) && register.Table != table)
        {
            f.Findings.Error(
                f.PlaceOf(key),
                $"`{key.Name}` is written, so it is a {(table == RegisterTable.Coil ? "coil" : "holding register")}."
            );
        }
    }
}
