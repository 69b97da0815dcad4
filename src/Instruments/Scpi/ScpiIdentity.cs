using LoadTest.Instruments.Meters;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Scpi;

/// <summary>Asks a SCPI instrument who it is, and uses the same question to get back in step after a doubtful exchange.</summary>
internal sealed class ScpiIdentity
{
    private const string Query = "*IDN?";
    private const int MostTries = 2;

    private readonly ScpiSession _session;
    private readonly IdentityCheck.IdentificationQuery _check;
    private readonly string? _serialNumber;
    private int _number;

    public ScpiIdentity(ScpiSession session, IdentityCheck check, string? serialNumber)
    {
        _session = session;
        _check =
            check as IdentityCheck.IdentificationQuery
            ?? throw new ArgumentException(
                "A SCPI instrument proves itself by its identification reply.",
                nameof(check)
            );
        _serialNumber = serialNumber;
    }

    /// <summary>Compares maker, model and serial number with definition and bench file, once in step.</summary>
    public async Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
    {
        var stored = await StoreAndAskAsync(cancel);
        if (stored.Outcome != CommandOutcome.Ok)
            return new IdentityReply(stored, "");
        var reply = await _session.ProbeAsync(Query, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return new IdentityReply(reply.Result, reply.Text);
        if (Compare(reply.Text) is { } finding)
        {
            _session.Exchange.Distrust();
            return new IdentityReply(CommandResult.Failed($"{Name}: {finding}"), reply.Text);
        }
        _session.Exchange.Trust(isUnmistakable: true);
        var known = await AskKnownAsync(cancel);
        if (known.Outcome == CommandOutcome.Ok)
            _session.Exchange.Recognise();
        return new IdentityReply(known, reply.Text);
    }

    /// <summary>After a doubtful exchange: gets in step and asks who it is, before anything else is asked.</summary>
    public async Task<CommandResult> GetInStepAsync(CancellationToken cancel)
    {
        if (!_session.Exchange.IsInDoubt)
            return CommandResult.Ok;
        var identity = await IdentifyAsync(cancel);
        return identity.Result;
    }

    /// <summary>When in doubt, stores a number not stored lately and asks for it: no answer to an earlier question fits.</summary>
    /// <remarks>
    /// The event status enable register is the one place every instrument stores a number in (IEEE 488.2, 10.10 and 10.11; 0 to
    /// 255). Nothing here uses what it enables. Should a late reading happen to be that very number, the identification that
    /// follows does not fit.
    /// </remarks>
    private async Task<CommandResult> StoreAndAskAsync(CancellationToken cancel)
    {
        var words = "";
        // What is left of a damaged command in the instrument spoils the first question; the next one begins afresh.
        for (var tries = 0; tries < MostTries; tries++)
        {
            if (!_session.Exchange.IsSuspect)
                return CommandResult.Ok;
            _number = (_number + 1) % 256;
            var question = $"*ESE {_number};*ESE?";
            var reply = await _session.ProbeAsync(question, cancel);
            if (reply.Result.Outcome != CommandOutcome.Ok)
                return reply.Result;
            if (NumericReply.Read(reply.Text, out var stored) == IndicationFlag.Good && stored == _number)
                return CommandResult.Ok;
            _session.Exchange.Distrust();
            words =
                $"{Name}: {question} was answered with \"{reply.Text}\", which belongs to an earlier question; nothing else is asked until they are in step again. If this comes back, the instrument takes longer than its `deadline` of {_session.Deadline.TotalMilliseconds:0.#} ms: give its definition a longer one, or set a shorter integration time.";
        }
        return CommandResult.Failed(words);
    }

    /// <summary>The further question whose answer its definition gives, where it gives one.</summary>
    private async Task<CommandResult> AskKnownAsync(CancellationToken cancel)
    {
        if (_check.Known is not { } known)
            return CommandResult.Ok;
        var reply = await _session.QueryAsync(known.Query, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok || ScpiMeter.IsSame(reply.Text, known.Expected))
            return reply.Result;
        _session.Exchange.Distrust();
        return CommandResult.Failed(
            $"{Name}: {known.Query} was answered with \"{reply.Text}\"; its definition says \"{known.Expected}\". Check that this definition belongs to the instrument."
        );
    }

    private string Name => _session.Exchange.Name;

    private string? Compare(string reply)
    {
        var expected = $"{_check.Maker},{_check.Model}";
        if (Identification.Read(reply) is not { } said)
            return $"{Query} was answered with \"{reply}\"; four fields separated by commas, beginning {expected}, were expected.";
        if (!Same(said.Maker, _check.Maker) || !Same(said.Model, _check.Model))
            return $"{expected} was expected, {said.Maker},{said.Model} answered. Check the wiring, or name its own definition file.";
        if (_serialNumber is not null && !Same(said.SerialNumber, _serialNumber))
            return $"serial number {_serialNumber} was expected, {said.SerialNumber} answered. Check the wiring, or correct the bench file.";
        return null;
    }

    private static bool Same(string one, string other) => string.Equals(one, other, StringComparison.OrdinalIgnoreCase);
}
