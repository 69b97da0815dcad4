using System.Collections.Immutable;
using System.Runtime.InteropServices;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Meters;

/// <summary>A meter read through registers, described by a definition file.</summary>
internal sealed class ModbusMeter : IMeter
{
    private readonly InstrumentDefinition _definition;
    private readonly ModbusClient _client;
    private readonly RegisterIdentity _identity;
    private readonly TimeProvider _time;
    private readonly PreparedReads<ReadPlan> _plans;

    public ModbusMeter(BenchInstrument instrument, ModbusClient client, TimeProvider time)
    {
        Name = instrument.Id;
        _definition = instrument.Definition;
        _client = client;
        _time = time;
        _identity = new RegisterIdentity(client, _definition.Identity, instrument.SerialNumber);
        _plans = new PreparedReads<ReadPlan>(Prepare);
        Parts = new DeviceParts(_definition, new ModbusAccess(client, _identity));
    }

    public string Name { get; }

    /// <summary>Its identity check, shared with the bank that switches through the same link.</summary>
    public RegisterIdentity Identity => _identity;

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => _identity.IdentifyAsync(cancel);

    /// <summary>Settings, watchdog, flags, relays and setter of its definition.</summary>
    public DeviceParts Parts { get; }

    public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => Parts.ConfigureAsync(cancel);

    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        if (_client.Exchange.IsInDoubt && (await _identity.GetInStepAsync(cancel)).Outcome != CommandOutcome.Ok)
            return Indications.Missing(inputs.Length, _time.GetTimestamp());
        var plan = _plans.For(inputs);
        if (plan.IsBusy)
            plan = _plans.Another(inputs);
        var reply = await plan.ReadAsync(_client, cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return Indications.Missing(inputs.Length, reply.Timestamp);
        var indications = new Indication[inputs.Length];
        for (var k = 0; k < indications.Length; k++)
            indications[k] = Indications.Of(plan.Value(k), plan.Timestamp(k));
        return ImmutableCollectionsMarshal.AsImmutableArray(indications);
    }

    private ReadPlan Prepare(ImmutableArray<string> inputs) =>
        new(
            [
                .. inputs.Select(name =>
                    _definition.Input(name).Register
                    ?? throw new ArgumentException(
                        $"Input {name} of {_definition.Name} names no register.",
                        nameof(inputs)
                    )
                ),
            ],
            mostGap: _definition.MostGap
        );
}
