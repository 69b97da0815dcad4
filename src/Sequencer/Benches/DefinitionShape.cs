using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What an instrument definition file may hold.</summary>
internal static class DefinitionShape
{
    private static readonly Key<string> Name = Key.Required(
        "instrument",
        Of.Text("Bench multimeter, 100 V range"),
        "What kind of instrument it is."
    );
    private static readonly Key<Protocol> Speaks = Key.Required(
        "protocol",
        new WordShape<Protocol>([
            ("modbus rtu", Protocol.ModbusRtu),
            ("modbus tcp", Protocol.ModbusTcp),
            ("modbus ascii", Protocol.ModbusAscii),
            ("scpi", Protocol.Scpi),
            ("text", Protocol.Text),
            ("by hand", Protocol.ByHand),
        ]),
        "What it speaks."
    );
    private static readonly Key<TimeSpan> Deadline = Key.Optional(
        "deadline",
        Of.Time(0.005, 30, "150 ms"),
        "Longest time from the first byte asked to the last byte answered; every protocol with a wire needs it."
    );
    private static readonly Key<TimeSpan> TurnAround = Key.Optional(
        "turn-around",
        Of.Time(0, 1, "5 ms"),
        "Silence before a request; Modbus RTU needs it, text may have it."
    );
    private static readonly Key<int> UnitId = Key.Optional(
        "unit identifier",
        new CountShape(1, 247),
        "Unit identifier; Modbus only.",
        "unit identifier: 1"
    );
    private static readonly Key<int> Base = Key.Optional(
        "addresses count from",
        new WordShape<int>([("0", 0), ("1", 1)]),
        "Whether the addresses in this file begin with 0, as on the wire, or with 1, as some manuals count; Modbus only."
    );
    private static readonly Key<bool> LowFirst = Key.Optional(
        "word order",
        new WordShape<bool>([("high word first", false), ("low word first", true)]),
        "Order of the two registers of a 32-bit value; Modbus only."
    );
    private static readonly Key<bool> ByteSwapped = Key.Optional(
        "byte order",
        new WordShape<bool>([("high byte first", false), ("low byte first", true)]),
        "Order of the two bytes of every register; high byte first, as the specification has it, when left out; Modbus only."
    );
    private static readonly Key<int> Gap = Key.Optional(
        "reads through",
        new CountShape(0, 100),
        "Most registers nobody asked for that one request may read through to reach the next asked for; none when left out; Modbus only.",
        "reads through: 4"
    );
    private static readonly Key<IdentityCheck> Identity = Key.Required(
        "identity",
        IdentityShape.Identity,
        "How it proves what it is.",
        "identity: { maker: …, model: … }"
    );
    private static readonly Key<ImmutableArray<InputDefinition>> Inputs = Key.Optional(
        "inputs",
        Of.List(InputShape.Input, 1, 32, "- name: volts"),
        "What it can read; left out when it only switches or sets."
    );
    private static readonly Key<BankSwitching> Switching = Key.Optional(
        "switching",
        SwitchingShape.Switching,
        "Present when it switches the elements of a load bank."
    );

    private static readonly Key<TextFraming> Framing = Key.Optional(
        "framing",
        FramingShape.Framing,
        "How lines are framed; text only."
    );
    private static readonly Key<ImmutableArray<DeviceSetting>> Settings = Key.Optional(
        "settings",
        Of.List(DevicePartShapes.Setting(), 1, 20, "- { name: filter, value: 2, … }"),
        "Settings made at the gate and read back; Modbus and text."
    );
    private static readonly Key<ImmutableArray<ErrorFlag>> Flags = Key.Optional(
        "error flags",
        Of.List(DevicePartShapes.Flag(), 1, 32, "- { name: sensor open, … }"),
        "Flags by which it says that something is wrong with it; Modbus and text."
    );
    private static readonly Key<ImmutableArray<Relay>> Relays = Key.Optional(
        "relays",
        Of.List(DevicePartShapes.Relay(), 1, 16, "- { name: output enable, … }"),
        "Relays it switches; Modbus and text."
    );
    private static readonly Key<RemoteSetter> Setter = Key.Optional(
        "remote setter",
        DevicePartShapes.Setter(),
        "An analogue output that sets the unit's control; Modbus and text."
    );
    private static readonly Key<MayRepeat> Repeat = Key.Optional(
        "a retry may repeat",
        new WordShape<MayRepeat>([("nothing", MayRepeat.Nothing), ("damaged reads", MayRepeat.DamagedReads)]),
        "What is asked again by itself: a read whose reply came damaged, once, or nothing. A write never is. Modbus and text; there `damaged reads` when left out."
    );

    /// <summary>The whole file.</summary>
    internal static readonly MappingShape<InstrumentDefinition> File = new(
        "instrument definition",
        Of.Keys(
            Of.Format,
            Name,
            Speaks,
            Deadline,
            TurnAround,
            UnitId,
            Base,
            LowFirst,
            ByteSwapped,
            Gap,
            Framing,
            Repeat,
            Identity,
            Settings,
            Inputs,
            Flags,
            Switching,
            Relays,
            Setter
        ),
        Build,
        Check
    );

    private static InstrumentDefinition Build(Fields f)
    {
        var definition = new InstrumentDefinition(
            f.Get(Name),
            f.Get(Speaks),
            f.Get(Deadline, TimeSpan.Zero),
            f.Get(TurnAround, TimeSpan.Zero),
            f.Get(UnitId, 0),
            f.Get(Identity),
            f.Get(Inputs, []),
            f.Maybe(Switching),
            f.Place
        )
        {
            Framing = f.Maybe(Framing),
            Settings = f.Get(Settings, []),
            Flags = f.Get(Flags, []),
            Relays = f.Get(Relays, []),
            Setter = f.Maybe(Setter),
            MostGap = f.Get(Gap, 0),
            MayRepeat = f.Get(Repeat, MayRepeat.DamagedReads),
        };
        return DefinitionAddresses.Finish(
            definition,
            f.Get(Base, 0),
            f.Get(LowFirst, otherwise: false),
            f.Get(ByteSwapped, otherwise: false)
        );
    }

    private static void Check(Fields f)
    {
        CheckInputs(f);
        if (!f.Has(Inputs) && !f.Has(Relays) && !f.Has(Setter) && !f.Has(Switching))
        {
            f.Findings.Error(
                f.Place,
                "the file has no `inputs`, and nothing else to do either. Add what the instrument reads or switches."
            );
        }
        if (!f.TryGet(Speaks, out var protocol))
        {
            return;
        }
        Key[] modbus = [UnitId, Base, LowFirst];
        Key[] foreign = [.. modbus, ByteSwapped, Gap];
        Key[] parts = [Settings, Flags, Relays, Setter, Switching, Repeat];
        switch (protocol)
        {
            case Protocol.ModbusRtu:
                Demand(f, [Deadline, TurnAround, .. modbus]);
                Refuse(f, "a Modbus instrument", Framing);
                break;
            case Protocol.ModbusAscii:
                Demand(f, [Deadline, .. modbus]);
                Refuse(f, "a Modbus instrument", Framing);
                break;
            case Protocol.ModbusTcp:
                Demand(f, [Deadline, .. modbus]);
                Refuse(f, "a Modbus TCP instrument", TurnAround, Framing);
                break;
            case Protocol.Scpi:
                Demand(f, Deadline);
                Refuse(f, "a SCPI instrument", [TurnAround, Framing, .. foreign, .. parts]);
                break;
            case Protocol.Text:
                Demand(f, Deadline, Framing);
                Refuse(f, "an instrument on a text protocol", foreign);
                break;
            default:
                Refuse(f, "a hand meter", [Deadline, TurnAround, Framing, .. foreign, .. parts]);
                break;
        }
        if (f.TryGet(Identity, out var identity) && !DefinitionLaws.Fits(identity, protocol))
        {
            f.Findings.Error(
                f.PlaceOf(Identity),
                "identity does not fit the protocol: `register` and `reads` for Modbus, `maker` and `model` for SCPI, `ask`, `known value` and `reads` for text, `person reads` for a hand meter."
            );
        }
        CheckParts(f, protocol);
    }

    private static void CheckParts(Fields f, Protocol protocol)
    {
        f.TryGet(Identity, out var identity);
        f.TryGet(Switching, out var switching);
        f.TryGet(Setter, out var setter);
        var parts = new DefinitionParts(
            identity,
            f.PlaceOf(Identity),
            f.Get(Inputs, []),
            switching,
            f.PlaceOf(Switching),
            f.Get(Settings, []),
            f.Get(Flags, []),
            f.Get(Relays, []),
            setter
        );
        var isModbus = protocol is Protocol.ModbusRtu or Protocol.ModbusTcp or Protocol.ModbusAscii;
        if (isModbus)
        {
            DefinitionAddresses.Check(parts, f.Get(Base, 0), f.Findings);
        }
        if (isModbus || protocol == Protocol.Text)
        {
            DefinitionLaws.CheckWays(parts, protocol == Protocol.Text, f.Findings);
        }
    }

    private static void CheckInputs(Fields f)
    {
        if (!f.TryGet(Inputs, out var inputs))
        {
            return;
        }
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var input in inputs)
        {
            if (!names.Add(input.Name))
            {
                f.Findings.Error(
                    input.Place,
                    $"A second input is called `{input.Name}`. Give each input a name of its own."
                );
            }
            if (f.TryGet(Speaks, out var protocol) && !DefinitionLaws.Fits(input, protocol))
            {
                f.Findings.Error(
                    input.Place,
                    $"Input `{input.Name}` does not fit the protocol: `register` for Modbus, `read` for SCPI, `ask` for text, `person reads` for a hand meter."
                );
            }
            if (f.TryGet(Deadline, out var deadline) && input.Aperture >= deadline)
            {
                f.Findings.Error(
                    input.Place,
                    $"Input `{input.Name}` integrates for {Show(input.Aperture)}, but `deadline` is {Show(deadline)}; it must be longer."
                );
            }
            else if (ScpiIntegration.Objection(input, deadline) is { } objection)
            {
                f.Findings.Error(input.Place, $"Input `{input.Name}`: {objection}");
            }
        }
    }

    private static string Show(TimeSpan span) => UnitText.Show(span.TotalSeconds, Unit.Second);

    private static void Demand(Fields f, params Key[] keys)
    {
        foreach (var key in keys.Where(k => !f.Has(k)))
        {
            f.Findings.Error(
                f.Place,
                $"the file has no `{key.Name}`, which this protocol needs. Add for example `{key.Example}`."
            );
        }
    }

    private static void Refuse(Fields f, string who, params Key[] keys)
    {
        foreach (var key in keys.Where(f.Has))
        {
            f.Findings.Error(f.PlaceOf(key), $"`{key.Name}` means nothing for {who}. Delete it.");
        }
    }
}
