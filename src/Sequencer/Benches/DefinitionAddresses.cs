using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>Addresses of a definition: counted from 0 or 1 in the file, from 0 in the program.</summary>
internal static class DefinitionAddresses
{
    /// <summary>The definition with the file's address base taken off and its word order put in.</summary>
    internal static InstrumentDefinition Finish(
        InstrumentDefinition written,
        int first,
        bool isLowFirst,
        bool isLowByteFirst
    )
    {
        RegisterText? Finish(RegisterText? r) =>
            r is null ? null : RegisterShape.Finish(r, first, isLowFirst, isLowByteFirst);
        return written with
        {
            AddressBase = first,
            Identity = written.Identity is IdentityCheck.KnownRegister known
                ? known with
                {
                    Register = Finish(known.Register)!,
                    SerialNumber = Finish(known.SerialNumber),
                }
                : written.Identity,
            Inputs = [.. written.Inputs.Select(i => i with { Register = Finish(i.Register) })],
            Settings = [.. written.Settings.Select(s => s with { Register = Finish(s.Register) })],
            Flags = [.. written.Flags.Select(s => s with { Register = Finish(s.Register) })],
            Relays = [.. written.Relays.Select(r => r with { Coil = Finish(r.Coil), Contact = Finish(r.Contact) })],
            Setter = written.Setter is { } setter
                ? setter with
                {
                    Register = Finish(setter.Register),
                    ReadBack = Finish(setter.ReadBack),
                }
                : null,
            Switching = written.Switching is { Text: null } s
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
                : written.Switching,
        };
    }

    /// <summary>Says which addresses lie outside the tables.</summary>
    internal static void Check(DefinitionParts parts, int first, FindingList findings)
    {
        if (
            parts.Switching is { Text: null } s
            && (s.FirstElementCoil < first || s.FirstContact < first || s.FanCoil < first)
        )
        {
            findings.Error(
                parts.SwitchingPlace,
                $"An address here is below {first}, where addresses begin in this file."
            );
        }
        foreach (var (register, place) in Registers(parts))
        {
            if (register is null)
            {
                continue;
            }
            var last = register.Address + (RegisterShape.IsTwoWords(register.Form) ? 1 : 0) - first;
            if (register.Address < first || last > 65535)
            {
                findings.Error(
                    place,
                    $"Address {register.Address} is outside what is allowed, {first} to {65535 + first}, for all its words."
                );
            }
        }
    }

    private static IEnumerable<(RegisterText? Register, Place Place)> Registers(DefinitionParts parts)
    {
        var known = parts.Identity as IdentityCheck.KnownRegister;
        var s = parts.Switching;
        return
        [
            .. parts.Inputs.Select(i => (i.Register, i.Place)),
            (known?.Register, parts.IdentityPlace),
            (known?.SerialNumber, parts.IdentityPlace),
            (s?.AirFlow, parts.SwitchingPlace),
            (s?.OverTemperature, parts.SwitchingPlace),
            (s?.StopInput, parts.SwitchingPlace),
            (s?.Watchdog, parts.SwitchingPlace),
            .. parts.Settings.Select(p => (p.Register, p.Place)),
            .. parts.Flags.Select(p => (p.Register, p.Place)),
            .. parts.Relays.SelectMany(p => new[] { (p.Coil, p.Place), (p.Contact, p.Place) }),
            (parts.Setter?.Register, parts.Setter?.Place ?? parts.IdentityPlace),
            (parts.Setter?.ReadBack, parts.Setter?.Place ?? parts.IdentityPlace),
        ];
    }
}
