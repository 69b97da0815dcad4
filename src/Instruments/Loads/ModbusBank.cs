using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Meters;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Loads;

/// <summary>A load bank whose elements are neighbouring coils, with meters of its own; described by a definition file.</summary>
/// <remarks>
/// A set of elements is one write of all element coils. The all-off frame is encoded when the bank is made and leaves
/// through <see cref="RemoveLoad"/> without asking anybody. No write is repeated here, and a link in doubt is put right before
/// anything is switched on over it.
/// </remarks>
internal sealed class ModbusBank : ILoad, IMeter
{
    private readonly BankSwitching _switching;
    private readonly ModbusClient _client;
    private readonly ModbusMeter _meter;
    private readonly BankStates _states;
    private readonly UnbrokenLine _unbroken;
    private readonly TimeProvider _time;
    private readonly ModbusTransaction _allOff;
    private readonly ModbusRequest? _fanOn;
    private readonly ModbusRequest? _fanOff;

    public ModbusBank(BenchInstrument instrument, ModbusClient client, TimeProvider time)
    {
        _switching =
            instrument.Definition.Switching
            ?? throw new ArgumentException(
                $"Definition {instrument.Definition.Name} switches no load bank.",
                nameof(instrument)
            );
        Name = instrument.Id;
        _client = client;
        _unbroken = new UnbrokenLine(client.Exchange.Counters);
        _time = time;
        _meter = new ModbusMeter(instrument, client, time);
        _states = new BankStates(_switching);
        _allOff = client.Urgent(Pdu.WriteCoils(_switching.FirstElementCoil, _switching.ElementCount, 0));
        if (_switching.FanCoil is { } coil)
        {
            _fanOn = ModbusRequest.Write(Pdu.WriteCoil(coil, true), mayLeaveInDoubt: true);
            _fanOff = ModbusRequest.Write(Pdu.WriteCoil(coil, false), mayLeaveInDoubt: true);
        }
    }

    public string Name { get; }

    /// <inheritdoc/>
    /// <remarks>The empty set energises nothing and needs no permit.</remarks>
    public async Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel)
    {
        if (elements.Mask >> (_switching.ElementCount - 1) > 1)
            throw new ArgumentOutOfRangeException(
                nameof(elements),
                elements,
                $"Bank {Name} has elements 1 to {_switching.ElementCount}."
            );
        if (!elements.IsEmpty)
        {
            if (_unbroken.Objection(Name) is { } broken)
                return CommandResult.Failed(broken);
            var inStep = await _meter.Identity.GetInStepAsync(cancel);
            if (inStep.Outcome != CommandOutcome.Ok)
                return CommandResult.Failed(inStep.Detail);
            _unbroken.SwitchOn();
        }
        var pdu = Pdu.WriteCoils(_switching.FirstElementCoil, _switching.ElementCount, elements.Mask);
        var reply = await _client.WriteAsync(
            ModbusRequest.Write(pdu, mayLeaveInDoubt: elements.IsEmpty),
            elements.IsEmpty ? null : () => permit.IsValid,
            cancel
        );
        if (elements.IsEmpty && reply.Result.Outcome == CommandOutcome.Ok)
            _unbroken.SwitchOff();
        return reply.Result;
    }

    public async Task<LoadStates> ReadStatesAsync(CancellationToken cancel)
    {
        var inStep = await _meter.Identity.GetInStepAsync(cancel);
        if (inStep.Outcome != CommandOutcome.Ok)
            return BankStates.Unread(CommandOutcome.Unknown, inStep.Detail, _time.GetTimestamp());
        if (_unbroken.Objection(Name) is { } broken)
            return BankStates.Unread(CommandOutcome.Unknown, broken, _time.GetTimestamp());
        var states = _states.IsBusy ? new BankStates(_switching) : _states;
        return await states.ReadAsync(_client, cancel);
    }

    public async Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel)
    {
        if ((isOn ? _fanOn : _fanOff) is not { } request)
            return CommandResult.Ok;
        var reply = await _client.WriteAsync(request, null, cancel);
        return reply.Result;
    }

    public void RemoveLoad()
    {
        _unbroken.SwitchOff();
        _client.Exchange.SendUrgent(_allOff);
    }

    public AllOffCounts AllOff => _allOff.Count!.Now;

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => _meter.IdentifyAsync(cancel);

    public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => _meter.ConfigureAsync(cancel);

    /// <summary>Settings, watchdog and flags.</summary>
    public DeviceParts Parts => _meter.Parts;

    public Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel) =>
        _meter.ReadAsync(inputs, cancel);

    /// <summary>What happened on its link.</summary>
    internal LinkCounters Counters => _client.Exchange.Counters;
}
