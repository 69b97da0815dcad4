using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Text;

/// <summary>Asks an instrument on a text protocol who it is, and gets question and answer in step after a doubtful exchange.</summary>
internal sealed class TextIdentity
{
    private const int MostRepeats = 8;

    private readonly TextSession _session;
    private readonly IdentityCheck.Question _check;
    private readonly string? _serialNumber;
    private double _token;

    public TextIdentity(TextSession session, IdentityCheck check, string? serialNumber)
    {
        _session = session;
        _check =
            check as IdentityCheck.Question
            ?? throw new ArgumentException(
                "An instrument on a text protocol proves itself by a question and a known value.",
                nameof(check)
            );
        _serialNumber = serialNumber;
    }

    /// <summary>Compares known value, kind and serial number with definition and bench file.</summary>
    public async Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
    {
        var identity = await AskAsync(cancel);
        if (identity.Result.Outcome == CommandOutcome.Ok)
            _session.Exchange.Recognise();
        return identity;
    }

    private async Task<IdentityReply> AskAsync(CancellationToken cancel)
    {
        var inStep = await ProveStepAsync(cancel);
        if (inStep.Outcome != CommandOutcome.Ok)
            return new IdentityReply(inStep, "");
        var reply = await _session.AskAsync(_check.Ask, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return new IdentityReply(
                reply.Result with
                {
                    Detail =
                        $"{reply.Result.Detail} Its definition expects \"{_check.Ask.Reply}\". Check the wiring, or name its own definition file.",
                },
                ""
            );
        var said = $"{_check.Ask.Reply}";
        if (!reply.Fields.TryGetValue("serial", out var serial))
            return new IdentityReply(
                _serialNumber is null
                    ? CommandResult.Ok
                    : CommandResult.Failed(
                        $"{Name}: the bench file gives serial number {_serialNumber}, but its definition asks for none. Add the field <serial word> or leave the number out."
                    ),
                said
            );
        said = $"{TextPatternWords.Before(_check.Ask.Reply)} serial number {serial}".Trim();
        return new IdentityReply(
            _serialNumber is null || string.Equals(serial, _serialNumber, StringComparison.OrdinalIgnoreCase)
                ? CommandResult.Ok
                : CommandResult.Failed(
                    $"{Name}: serial number {_serialNumber} was expected, {serial} answered. Check the wiring, or correct the bench file."
                ),
            said
        );
    }

    /// <summary>After a doubtful exchange: gets in step before anything else is asked or switched.</summary>
    public async Task<CommandResult> GetInStepAsync(CancellationToken cancel)
    {
        if (!_session.Exchange.IsInDoubt)
            return CommandResult.Ok;
        if (_session.Exchange.IsStranger)
            return (await IdentifyAsync(cancel)).Result;
        var result = await ProveStepAsync(cancel);
        return result.Outcome == CommandOutcome.Ok
            ? result
            : CommandResult.Failed($"{Name}: nothing was sent, because an earlier reply is in doubt: {result.Detail}");
    }

    private string Name => _session.Exchange.Name;

    // A number never asked for before cannot be answered early; without that, the known question is repeated until no earlier answer is out.
    private async Task<CommandResult> ProveStepAsync(CancellationToken cancel)
    {
        if (_session.Framing.StepCheck is { } step && _session.Exchange.IsSuspect)
        {
            var told = await AskTokenAsync(step, cancel);
            if (told.Outcome != CommandOutcome.Ok)
                return told;
        }
        for (var k = 0; k <= MostRepeats; k++)
        {
            var reply = await _session.AskAsync(_check.Known, cancel, isProbe: true);
            if (reply.Result.Outcome != CommandOutcome.Ok)
                return reply.Result;
            var found = TextTemplate.Number(_check.Known.Reply, "value", reply.Fields["value"], out var value);
            if (found != IndicationFlag.Good || Math.Abs(value - _check.Value) > 1e-6 * Math.Abs(_check.Value))
            {
                _session.Exchange.Distrust();
                return CommandResult.Failed(
                    $"{Name}: {_check.Known.Send} was answered with {reply.Fields["value"]}; its definition says {Figures.Of(_check.Value, 9)}. Check that this definition belongs to the instrument."
                );
            }
            _session.Exchange.Trust();
            if (!_session.Exchange.IsSuspect)
                return CommandResult.Ok;
        }
        return CommandResult.Failed($"{Name}: an earlier answer to the known question is still out.");
    }

    private async Task<CommandResult> AskTokenAsync(TextExchange step, CancellationToken cancel)
    {
        var width = step.Send.Parts.OfType<TextPart.Field>().First(f => f.Name == "token").Width;
        var tokens = width > 0 ? Math.Pow(16, width) : 1e6;
        var isNew = _token + 1 < tokens;
        _token = isNew ? _token + 1 : 1;
        var reply = await _session.AskAsync(step, cancel, isProbe: true, field: ("token", _token));
        if (reply.Result.Outcome == CommandOutcome.Ok)
            _session.Exchange.Trust(isNew);
        return reply.Result;
    }
}
