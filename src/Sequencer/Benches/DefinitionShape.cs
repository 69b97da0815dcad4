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
            ("scpi", Protocol.Scpi),
        ]),
        "What it speaks."
    );
    private static readonly Key<TimeSpan> Deadline = Key.Required(
        "deadline",
        Of.Time(0.005, 30, "150 ms"),
        "Longest time from the first byte asked to the last byte answered."
    );
    private static readonly Key<TimeSpan> TurnAround = Key.Optional(
        "turn-around",
        Of.Time(0, 1, "5 ms"),
        "Silence before a request; Modbus RTU only."
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
    private static readonly Key<IdentityCheck> Identity = Key.Required(
        "identity",
        IdentityShape.Identity,
        "How it proves what it is.",
        "identity: { maker: …, model: … }"
    );
    private static readonly Key<ImmutableArray<InputDefinition>> Inputs = Key.Required(
        "inputs",
        Of.List(InputShape.Input, 1, 32, "- name: volts"),
        "What it can read."
    );
    private static readonly Key<BankSwitching> Switching = Key.Optional(
        "switching",
        SwitchingShape.Switching,
        "Present when it switches the elements of a load bank."
    );

    /// <summary>The whole file.</summary>
    internal static readonly MappingShape<InstrumentDefinition> File = new(
        "instrument definition",
        Of.Keys(Of.Format, Name, Speaks, Deadline, TurnAround, UnitId, Base, LowFirst, Identity, Inputs, Switching),
        Build,
        Check
    );

    private static InstrumentDefinition Build(Fields f)
    {
        var first = f.Get(Base, 0);
        var isLowFirst = f.Get(LowFirst, otherwise: false);
        RegisterText? Finish(RegisterText? r) => r is null ? null : RegisterShape.Finish(r, first, isLowFirst);
        var identity = f.Get(Identity);
        if (identity is IdentityCheck.KnownRegister known)
        {
            identity = known with { Register = Finish(known.Register)!, SerialNumber = Finish(known.SerialNumber) };
        }
        return new InstrumentDefinition(
            f.Get(Name),
            f.Get(Speaks),
            f.Get(Deadline),
            f.Get(TurnAround, TimeSpan.Zero),
            f.Get(UnitId, 0),
            identity,
            [.. f.Get(Inputs).Select(i => i with { Register = Finish(i.Register) })],
            f.Maybe(Switching) is { } s
                ? s with
                {
                    FirstElementCoil = s.FirstElementCoil - first,
                    FirstContact = s.FirstContact - first,
                    FanCoil = s.FanCoil - first,
                    AirFlow = Finish(s.AirFlow),
                    OverTemperature = Finish(s.OverTemperature),
                    StopInput = Finish(s.StopInput),
                    Watchdog = Finish(s.Watchdog),
                }
                : null,
            f.Place
        );
    }

    private static void Check(Fields f)
    {
        CheckInputs(f);
        if (!f.TryGet(Speaks, out var protocol))
        {
            return;
        }
        if (protocol == Protocol.Scpi)
        {
            Refuse(f, "a SCPI instrument", TurnAround, UnitId, Base, LowFirst, Switching);
        }
        else
        {
            Demand(f, UnitId, Base, LowFirst);
            CheckAddresses(f);
        }
        if (protocol == Protocol.ModbusRtu)
        {
            Demand(f, TurnAround);
        }
        else if (protocol == Protocol.ModbusTcp)
        {
            Refuse(f, "a Modbus TCP instrument", TurnAround);
        }
        if (
            f.TryGet(Identity, out var identity)
            && identity is IdentityCheck.IdentificationQuery != (protocol == Protocol.Scpi)
        )
        {
            f.Findings.Error(
                f.PlaceOf(Identity),
                "identity does not fit the protocol: `register` and `reads` for Modbus, `maker` and `model` for SCPI."
            );
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
            if (f.TryGet(Speaks, out var protocol) && input.Commands is not null != (protocol == Protocol.Scpi))
            {
                f.Findings.Error(
                    input.Place,
                    $"Input `{input.Name}` does not fit the protocol: `register` for Modbus, `read` for SCPI."
                );
            }
            if (f.TryGet(Deadline, out var deadline) && input.Aperture >= deadline)
            {
                f.Findings.Error(
                    input.Place,
                    $"Input `{input.Name}` integrates for {Show(input.Aperture)}, but `deadline` is {Show(deadline)}; it must be longer."
                );
            }
        }
    }

    private static void CheckAddresses(Fields f)
    {
        var first = f.Get(Base, 0);
        var registers = new List<(RegisterText? Register, Place Place)>();
        if (f.TryGet(Inputs, out var inputs))
        {
            registers.AddRange(inputs.Select(i => (i.Register, i.Place)));
        }
        if (f.TryGet(Identity, out var identity) && identity is IdentityCheck.KnownRegister known)
        {
            registers.Add((known.Register, f.PlaceOf(Identity)));
            registers.Add((known.SerialNumber, f.PlaceOf(Identity)));
        }
        if (f.TryGet(Switching, out var s))
        {
            registers.AddRange(
                new[] { s.AirFlow, s.OverTemperature, s.StopInput, s.Watchdog }.Select(r => (r, f.PlaceOf(Switching)))
            );
            if (s.FirstElementCoil < first || s.FirstContact < first || s.FanCoil < first)
            {
                f.Findings.Error(
                    f.PlaceOf(Switching),
                    $"An address here is below {first}, where addresses begin in this file."
                );
            }
        }
        foreach (var (register, place) in registers)
        {
            if (register is null)
            {
                continue;
            }
            var last = register.Address + (RegisterShape.IsTwoWords(register.Form) ? 1 : 0) - first;
            if (register.Address < first || last > 65535)
            {
                f.Findings.Error(
                    place,
                    $"Address {register.Address} is outside what is allowed, {first} to {65535 + first}, for all its words."
                );
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
