using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>Proves by a register of known value that address base, word order and sequence of replies are right.</summary>
internal sealed class RegisterIdentity
{
    private const int MostRepeats = 8;

    private readonly ModbusClient _client;
    private readonly IdentityCheck.KnownRegister _check;
    private readonly string? _serialNumber;
    private readonly ReadPlan _known;
    private readonly ReadPlan? _serial;

    public RegisterIdentity(ModbusClient client, IdentityCheck check, string? serialNumber)
    {
        _client = client;
        _check =
            check as IdentityCheck.KnownRegister
            ?? throw new ArgumentException(
                "A Modbus instrument proves itself by a register of known value.",
                nameof(check)
            );
        _serialNumber = serialNumber;
        _known = new ReadPlan([_check.Register], isProbe: true);
        _serial = _check.SerialNumber is { } register ? new ReadPlan([register]) : null;
    }

    /// <summary>Compares known value and serial number with definition and bench file.</summary>
    public async Task<IdentityReply> IdentifyAsync(CancellationToken cancel)
    {
        var identity = await AskAsync(cancel);
        if (identity.Result.Outcome == CommandOutcome.Ok)
            _client.Exchange.Recognise();
        return identity;
    }

    private async Task<IdentityReply> AskAsync(CancellationToken cancel)
    {
        var reply = await ReadKnownAsync(cancel);
        // Earlier asking that went unanswered may still be answered: the question is repeated until that cannot be any more.
        for (
            var k = 0;
            reply.Outcome == CommandOutcome.Ok && IsKnown && _client.Exchange.IsSuspect && k < MostRepeats;
            k++
        )
            reply = await ReadKnownAsync(cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return new IdentityReply(reply.Result, "") { IsWrongMap = reply.Outcome == CommandOutcome.Failed };
        var said = $"known value {Figures.Of(_known.Value(0), 9)}";
        if (!IsKnown)
            return new IdentityReply(CommandResult.Failed(Mismatch()), said) { IsWrongMap = true };
        if (_serial is null)
            return new IdentityReply(
                _serialNumber is null
                    ? CommandResult.Ok
                    : CommandResult.Failed(
                        $"{Name}: the bench file gives serial number {_serialNumber}, but its definition names no register to read it from. Add the register or leave the number out."
                    ),
                said
            );
        reply = await _serial.ReadAsync(_client, cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return new IdentityReply(reply.Result, said);
        var serial = _serial.Value(0).ToString("0");
        said = $"{said}, serial number {serial}";
        var isOurs = _serialNumber is null || serial == _serialNumber;
        return new IdentityReply(
            isOurs
                ? CommandResult.Ok
                : CommandResult.Failed(
                    $"{Name}: serial number {_serialNumber} was expected, {serial} answered. Check the wiring and the unit identifier, or correct the bench file."
                ),
            said
        );
    }

    /// <summary>After a doubtful exchange: asks for the known value before anything else is asked or switched.</summary>
    public async Task<CommandResult> GetInStepAsync(CancellationToken cancel)
    {
        if (!_client.Exchange.IsInDoubt)
            return CommandResult.Ok;
        if (_client.Exchange.IsStranger)
            return (await IdentifyAsync(cancel)).Result;
        var reply = await ReadKnownAsync(cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return CommandResult.Failed(
                $"{Name}: nothing was sent, because an earlier reply is in doubt: {reply.Detail}"
            );
        if (!IsKnown)
            return CommandResult.Failed(Mismatch());
        return _client.Exchange.IsSuspect
            ? CommandResult.Failed(
                $"{Name}: nothing was sent, because an earlier answer to the known question is still out."
            )
            : CommandResult.Ok;
    }

    private string Name => _client.Exchange.Name;

    private bool IsKnown => Math.Abs(_known.Value(0) - _check.Value) <= 1e-6 * Math.Abs(_check.Value);

    private async Task<ModbusReply> ReadKnownAsync(CancellationToken cancel)
    {
        var reply = await _known.ReadAsync(_client, cancel);
        if (reply.Outcome != CommandOutcome.Ok)
            return reply;
        if (IsKnown)
            _client.Exchange.Trust();
        else
            _client.Exchange.Distrust();
        return reply;
    }

    private string Mismatch() =>
        $"{Name}: {RequestWords.Named(_check.Register.TableWords, _check.Register.Address + _client.AddressBase, Registers.Width(_check.Register.Form))} reads {Figures.Of(_known.Value(0), 9)}; its definition says {Figures.Of(_check.Value, 9)}. "
        + "Check address base, word order and that this definition belongs to the instrument.";
}
