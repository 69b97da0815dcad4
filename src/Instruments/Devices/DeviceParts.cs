using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Devices;

/// <summary>Settings, watchdog, error flags, relays and setter of an instrument, whatever its protocol.</summary>
internal sealed class DeviceParts : IInspect
{
    private readonly InstrumentDefinition _definition;
    private readonly DeviceAccess _access;

    public DeviceParts(InstrumentDefinition definition, DeviceAccess access)
    {
        _definition = definition;
        _access = access;
        OutputEnable = definition.Relays.FirstOrDefault(r => r.Role == RelayRole.OutputEnable) is { } relay
            ? new OutputEnableRelay(relay, access)
            : null;
        Setter = definition.Setter is { } setter ? new SetterOutput(setter, access) : null;
    }

    public OutputEnableRelay? OutputEnable { get; }

    public SetterOutput? Setter { get; }

    /// <summary>Makes every setting, arms the watchdog, and reads all of it back; refuses an instrument whose error flag is up.</summary>
    public async Task<CommandResult> ConfigureAsync(CancellationToken cancel)
    {
        foreach (var setting in Settings())
        {
            var set = await _access.SetAsync(
                (setting.Set, setting.Ask),
                setting.Value,
                $"its {setting.Name}",
                setting.Unit.Trim(),
                cancel
            );
            if (set.Outcome != CommandOutcome.Ok)
                return set;
        }
        foreach (var flag in _definition.Flags)
        {
            var seen = await InspectAsync(flag, cancel);
            if (seen.State != InspectedState.AsExpected)
                return CommandResult.Failed($"{_access.Name}: {seen.Detail}");
        }
        return CommandResult.Ok;
    }

    public async Task<ImmutableArray<Inspected>> InspectAsync(CancellationToken cancel)
    {
        var all = ImmutableArray.CreateBuilder<Inspected>();
        foreach (var setting in Settings())
        {
            var read = await _access.ReadAsync(setting.Ask, cancel);
            all.Add(Compared(setting.Name, read, setting.Value, 0, setting.Unit, InspectedState.SetAtTheGate));
        }
        foreach (var flag in _definition.Flags)
            all.Add(await InspectAsync(flag, cancel));
        foreach (var relay in _definition.Relays)
        {
            var read = await _access.ReadAsync(OutputEnableRelay.ContactOf(relay), cancel);
            all.Add(
                read.Result.Outcome != CommandOutcome.Ok
                    ? Unread(relay.Name, "open", read.Result)
                    : new Inspected(
                        relay.Name,
                        read.Value == 0 ? "open" : "closed",
                        "open",
                        read.Value == 0 ? InspectedState.AsExpected : InspectedState.Wrong,
                        read.Value == 0 ? "" : $"relay {relay.Name} is closed; at rest it is open."
                    )
            );
        }
        if (_definition.Setter is { } setter)
        {
            var read = await _access.ReadAsync(SetterOutput.ReadBackOf(setter), cancel);
            all.Add(
                Compared(
                    setter.Name,
                    read,
                    setter.Least,
                    setter.Within,
                    " " + UnitText.Usual(setter.Unit),
                    InspectedState.Wrong
                )
            );
        }
        return all.ToImmutable();
    }

    private IEnumerable<(string Name, string Unit, double Value, DevicePoint Set, DevicePoint Ask)> Settings()
    {
        foreach (var s in _definition.Settings)
            yield return (
                s.Name,
                "",
                s.Value,
                new DevicePoint(s.Register, s.Set, "value"),
                new DevicePoint(s.Register, s.Ask, "value")
            );
        if (_definition.Switching is { HasWatchdog: true } bank)
            yield return (
                "communication watchdog",
                " s",
                bank.WatchdogSeconds,
                new DevicePoint(bank.Watchdog, bank.Text?.SetWatchdog, "seconds"),
                new DevicePoint(bank.Watchdog, bank.Text?.AskWatchdog, "seconds")
            );
    }

    private async Task<Inspected> InspectAsync(ErrorFlag flag, CancellationToken cancel)
    {
        var read = await _access.ReadAsync(new DevicePoint(flag.Register, flag.Ask, "flags"), cancel);
        if (read.Result.Outcome != CommandOutcome.Ok)
            return Unread(flag.Name, "down", read.Result);
        var isUp = ((long)read.Value >> flag.Bit & 1) == 1;
        return new Inspected(
            flag.Name,
            isUp ? "up" : "down",
            "down",
            isUp ? InspectedState.Wrong : InspectedState.AsExpected,
            isUp ? $"its error flag \"{flag.Name}\" is up: {SentenceText.Of(flag.Means)}" : ""
        );
    }

    private static Inspected Compared(
        string name,
        DeviceValue read,
        double expected,
        double within,
        string unit,
        InspectedState otherwise
    )
    {
        var wanted = $"{expected:0.######}{unit}";
        if (read.Result.Outcome != CommandOutcome.Ok)
            return Unread(name, wanted, read.Result);
        var isSame = IsSame(read.Value, expected) || Math.Abs(read.Value - expected) <= within;
        var found = $"{read.Value:0.######}{unit}";
        return new Inspected(
            name,
            found,
            wanted,
            isSame ? InspectedState.AsExpected : otherwise,
            isSame ? "" : $"{name} is {found}; its definition says {wanted}."
        );
    }

    private static Inspected Unread(string name, string expected, CommandResult result) =>
        new(name, "", expected, InspectedState.Unread, result.Detail);

    private static bool IsSame(double found, double wanted) => Math.Abs(found - wanted) <= 1e-6 * Math.Abs(wanted);
}
