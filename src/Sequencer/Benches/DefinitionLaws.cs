using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>The parts of a definition file that were well written, for laws between them.</summary>
internal sealed record DefinitionParts(
    IdentityCheck? Identity,
    Place IdentityPlace,
    ImmutableArray<InputDefinition> Inputs,
    BankSwitching? Switching,
    Place SwitchingPlace,
    ImmutableArray<DeviceSetting> Settings,
    ImmutableArray<ErrorFlag> Flags,
    ImmutableArray<Relay> Relays,
    RemoteSetter? Setter
);

/// <summary>What must hold between the protocol of a definition and its parts.</summary>
internal static class DefinitionLaws
{
    /// <summary>Whether an identity is one the protocol can ask for.</summary>
    internal static bool Fits(IdentityCheck identity, Protocol protocol) =>
        protocol switch
        {
            Protocol.Scpi => identity is IdentityCheck.IdentificationQuery,
            Protocol.Text => identity is IdentityCheck.Question,
            Protocol.ByHand => identity is IdentityCheck.Person,
            _ => identity is IdentityCheck.KnownRegister,
        };

    /// <summary>Whether an input is read in a way the protocol has.</summary>
    internal static bool Fits(InputDefinition input, Protocol protocol) =>
        protocol switch
        {
            Protocol.Scpi => input.Commands is not null,
            Protocol.Text => input.Ask is not null,
            Protocol.ByHand => input.PersonReads is not null,
            _ => input.Register is not null,
        };

    /// <summary>Says which parts are written in the way of the other kind of protocol.</summary>
    internal static void CheckWays(DefinitionParts parts, bool isText, FindingList findings)
    {
        void Demand(bool hasLines, string what, Place place)
        {
            if (hasLines != isText)
            {
                findings.Error(
                    place,
                    $"{what} does not fit the protocol: registers and coils for Modbus, lines for text."
                );
            }
        }

        if (parts.Switching is { } s)
        {
            Demand(s.Text is not null, "switching", parts.SwitchingPlace);
            var hasOddWatchdog = s.WatchdogSeconds > 0 && (s.Watchdog is null) != (s.Text is not null);
            if (hasOddWatchdog)
            {
                findings.Error(
                    parts.SwitchingPlace,
                    "The watchdog does not fit: a `register` for a bank switched by coils, `set` and `ask` for one switched by lines."
                );
            }
        }
        foreach (var setting in parts.Settings)
        {
            Demand(setting.Set is not null, $"Setting `{setting.Name}`", setting.Place);
        }
        foreach (var flag in parts.Flags)
        {
            Demand(flag.Ask is not null, $"Error flag `{flag.Name}`", flag.Place);
        }
        foreach (var relay in parts.Relays)
        {
            Demand(relay.Set is not null, $"Relay `{relay.Name}`", relay.Place);
        }
        if (parts.Setter is { } setter)
        {
            Demand(setter.Set is not null, "remote setter", setter.Place);
        }
        foreach (var twice in parts.Relays.Where(r => r.Role == RelayRole.OutputEnable).Skip(1))
        {
            findings.Error(twice.Place, $"`{twice.Name}` is a second relay for output enable. One instrument has one.");
        }
    }
}
