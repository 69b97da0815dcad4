using System.Collections.Immutable;
using System.Runtime.InteropServices;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Meters;

/// <summary>A meter on a text protocol, described by a definition file.</summary>
internal sealed class TextMeter : IMeter
{
    private readonly InstrumentDefinition _definition;
    private readonly TextSession _session;
    private readonly TimeProvider _time;

    public TextMeter(BenchInstrument instrument, TextSession session, TimeProvider time)
    {
        Name = instrument.Id;
        _definition = instrument.Definition;
        _session = session;
        _time = time;
        Identity = new TextIdentity(session, _definition.Identity, instrument.SerialNumber);
        Parts = new DeviceParts(_definition, new TextAccess(session, Identity));
    }

    public string Name { get; }

    /// <summary>Its identity check, shared with the bank that switches through the same link.</summary>
    public TextIdentity Identity { get; }

    /// <summary>Settings, watchdog, flags, relays and setter of its definition.</summary>
    public DeviceParts Parts { get; }

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => Identity.IdentifyAsync(cancel);

    public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => Parts.ConfigureAsync(cancel);

    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        if (_session.Exchange.IsInDoubt && (await Identity.GetInStepAsync(cancel)).Outcome != CommandOutcome.Ok)
            return Indications.Missing(inputs.Length, _time.GetTimestamp());
        var indications = new Indication[inputs.Length];
        for (var k = 0; k < indications.Length; k++)
            indications[k] = await ReadAsync(_definition.Input(inputs[k]), cancel);
        return ImmutableCollectionsMarshal.AsImmutableArray(indications);
    }

    private async Task<Indication> ReadAsync(InputDefinition input, CancellationToken cancel)
    {
        var ask = input.Ask ?? throw new ArgumentException($"Input {input.Name} names no question.", nameof(input));
        var reply = await _session.AskAsync(ask, cancel, input.OverRange);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return new Indication(0, IndicationFlag.Missing, reply.Timestamp);
        if (reply.IsOverRange)
            return new Indication(0, IndicationFlag.Overload, reply.Timestamp);
        var flag = TextTemplate.Number(ask.Reply, "value", reply.Fields["value"], out var value);
        return flag == IndicationFlag.Good
            ? Indications.Of(value * input.Scale, reply.Timestamp)
            : new Indication(0, flag, reply.Timestamp);
    }
}
