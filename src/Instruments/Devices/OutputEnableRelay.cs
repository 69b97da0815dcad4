using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Devices;

/// <summary>The relay for output enable, by coil or by line; the "open" is encoded when it is made.</summary>
internal sealed class OutputEnableRelay : IOutputEnable
{
    private readonly DeviceAccess _access;
    private readonly DevicePoint _set;
    private readonly DevicePoint _contact;
    private readonly Action _open;

    public OutputEnableRelay(Relay relay, DeviceAccess access)
    {
        _access = access;
        _set = new DevicePoint(relay.Coil, relay.Set, "on");
        _contact = ContactOf(relay);
        _open = access.Urgent(_set, 0);
        Name = $"{access.Name} {relay.Name}";
    }

    public string Name { get; }

    /// <summary>Where a relay's contact is read.</summary>
    public static DevicePoint ContactOf(Relay relay) => new(relay.Contact, relay.Ask, "on");

    public async Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel)
    {
        if (isOn)
        {
            var inStep = await _access.GetInStepAsync(cancel);
            if (inStep.Outcome != CommandOutcome.Ok)
                return CommandResult.Failed(inStep.Detail);
        }
        return await _access.WriteAsync(_set, isOn ? 1 : 0, isOn ? () => permit.IsValid : null, !isOn, cancel);
    }

    public async Task<RelayState> ReadAsync(CancellationToken cancel)
    {
        var inStep = await _access.GetInStepAsync(cancel);
        if (inStep.Outcome != CommandOutcome.Ok)
            return new RelayState(CommandResult.Unknown(inStep.Detail), false, 0);
        var read = await _access.ReadAsync(_contact, cancel);
        return new RelayState(read.Result, read.Value != 0, read.Timestamp);
    }

    public void Open() => _open();
}
