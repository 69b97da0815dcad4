using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Scpi;

/// <summary>Asks a SCPI instrument who it is, and uses the same question to get back in step after a doubtful exchange.</summary>
internal sealed class ScpiIdentity
{
    private const string Query = "*IDN?";
    private readonly ScpiSession _session;
    private readonly IdentityCheck.IdentificationQuery _check;
    private readonly string? _serialNumber;

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

    /// <summary>Compares maker, model and serial number with definition and bench file.</summary>
    public async Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
    {
        var reply = await _session.ProbeAsync(Query, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return new IdentityReply(reply.Result, reply.Text);
        var finding = Compare(reply.Text);
        if (finding is null)
            _session.Exchange.Trust();
        else
            _session.Exchange.Distrust();
        return new IdentityReply(
            finding is null ? CommandResult.Ok : CommandResult.Failed($"{Name}: {finding}"),
            reply.Text
        );
    }

    /// <summary>After a doubtful exchange: asks who it is before anything else is asked.</summary>
    public async Task<CommandResult> GetInStepAsync(CancellationToken cancel)
    {
        if (!_session.Exchange.IsSuspect)
            return CommandResult.Ok;
        var identity = await IdentifyAsync(cancel);
        return identity.Result.Outcome == CommandOutcome.Ok && _session.Exchange.IsSuspect
            ? CommandResult.Failed($"{Name}: nothing was asked, because an earlier answer to {Query} is still out.")
            : identity.Result;
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
