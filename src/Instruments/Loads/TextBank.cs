using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Meters;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Loads;

/// <summary>A load bank on a text protocol: all elements with one line, the all-off line encoded when it is made.</summary>
internal sealed class TextBank : ILoad, IMeter
{
    private readonly BankSwitching _switching;
    private readonly TextSwitching _lines;
    private readonly TextSession _session;
    private readonly TextMeter _meter;
    private readonly UnbrokenLine _unbroken;
    private readonly TimeProvider _time;
    private readonly TextTransaction _allOff;

    public TextBank(BenchInstrument instrument, TextSession session, TimeProvider time)
    {
        _switching =
            instrument.Definition.Switching
            ?? throw new ArgumentException(
                $"Definition {instrument.Definition.Name} switches no load bank.",
                nameof(instrument)
            );
        _lines =
            _switching.Text
            ?? throw new ArgumentException(
                $"Definition {instrument.Definition.Name} gives no lines for switching.",
                nameof(instrument)
            );
        Name = instrument.Id;
        _session = session;
        _unbroken = new UnbrokenLine(session.Exchange.Counters);
        _time = time;
        _meter = new TextMeter(instrument, session, time);
        _allOff = session.Urgent(_lines.Switch, "elements", 0);
    }

    public string Name { get; }

    /// <summary>Settings, watchdog and flags.</summary>
    public DeviceParts Parts => _meter.Parts;

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
        var reply = await _session.CommandAsync(
            _lines.Switch,
            "elements",
            elements.Mask,
            elements.IsEmpty ? null : () => permit.IsValid,
            makesSafe: elements.IsEmpty,
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
        var reply = await _session.AskAsync(_lines.States, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return BankStates.Unread(reply.Result.Outcome, reply.Result.Detail, reply.Timestamp);
        uint Mask(string name) =>
            TextTemplate.Number(_lines.States.Reply, name, reply.Fields[name], out var value) == IndicationFlag.Good
                ? (uint)value
                : uint.MaxValue;
        bool? State(string name) => reply.Fields.ContainsKey(name) ? Mask(name) != 0 : null;
        return new LoadStates(
            CommandOutcome.Ok,
            "",
            new ElementSet(Mask("commanded")),
            new ElementSet(Mask("closed")),
            State("air"),
            State("hot"),
            State("healthy"),
            reply.Timestamp
        );
    }

    public async Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel)
    {
        if (_lines.Fan is not { } fan)
            return CommandResult.Ok;
        var reply = await _session.CommandAsync(fan, "on", isOn ? 1 : 0, null, makesSafe: true, cancel);
        return reply.Result;
    }

    public void RemoveLoad()
    {
        _unbroken.SwitchOff();
        _session.Exchange.SendUrgent(_allOff);
    }

    public AllOffCounts AllOff => _allOff.Count!.Now;

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => _meter.IdentifyAsync(cancel);

    public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => _meter.ConfigureAsync(cancel);

    public Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel) =>
        _meter.ReadAsync(inputs, cancel);
}
