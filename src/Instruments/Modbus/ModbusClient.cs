using System.Runtime.InteropServices;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Modbus;

/// <summary>Carries out requests to one unit: no write is ever repeated, a damaged read once, a busy one until the deadline.</summary>
internal sealed class ModbusClient(
    Exchange exchange,
    IModbusFraming framing,
    byte unit,
    TimeSpan deadline,
    TimeProvider time
)
{
    private readonly TimeSpan _busyPause = deadline / 10;

    public Exchange Exchange => exchange;

    /// <summary>What is asked again by itself.</summary>
    public MayRepeat MayRepeat { get; init; } = MayRepeat.DamagedReads;

    /// <summary>The number of the first address in the definition file, for messages.</summary>
    public int AddressBase { get; init; }

    /// <summary>Longest wait for the line, and again for the reply.</summary>
    public TimeSpan Deadline => deadline;

    /// <summary>Carries out a read; its payload is copied to <paramref name="payload"/>, which has just its length.</summary>
    public async Task<ModbusReply> ReadAsync(ModbusRequest request, Memory<byte> payload, CancellationToken cancel)
    {
        var start = time.GetTimestamp();
        var mayRepeatDamaged = MayRepeat == MayRepeat.DamagedReads;
        while (true)
        {
            var left = deadline - time.GetElapsedTime(start);
            var transaction = request.Rent(framing, unit, AddressBase);
            transaction.Deadline = left;
            var reply = await exchange.RunAsync(transaction, cancel);
            if (reply.Kind == ReplyKind.Complete)
            {
                var code = transaction.ExceptionCode;
                if (code == 0)
                    transaction.Payload.CopyTo(payload.Span);
                request.Return(transaction);
                if (code == 0)
                    return new ModbusReply(CommandOutcome.Ok, reply.Timestamp, "");
                if (
                    code is not (ModbusExceptions.Busy or ModbusExceptions.Acknowledge)
                    || !await PauseAsync(start, cancel)
                )
                    return Refused(request, code, reply.Timestamp);
                continue;
            }
            if (reply.Kind == ReplyKind.Damaged && mayRepeatDamaged && time.GetElapsedTime(start) < deadline)
            {
                mayRepeatDamaged = false;
                continue;
            }
            return Missed(reply);
        }
    }

    /// <summary>Carries out a write, once.</summary>
    /// <param name="request">The write.</param>
    /// <param name="permit">Asked inside the write gate; null for a write that cannot energise.</param>
    /// <param name="cancel">Gives up waiting.</param>
    /// <param name="payload">Takes what function 23 reads, and has just its length.</param>
    public async Task<ModbusReply> WriteAsync(
        ModbusRequest request,
        Func<bool>? permit,
        CancellationToken cancel,
        Memory<byte> payload = default
    )
    {
        var transaction = request.Make(framing, unit, AddressBase);
        transaction.Deadline = deadline;
        transaction.Permit = permit;
        var reply = await exchange.RunAsync(transaction, cancel);
        if (reply.Kind != ReplyKind.Complete)
            return Missed(reply);
        var code = transaction.ExceptionCode;
        // A bank that takes a command and carries it out some time later is no bank to switch on.
        if (code == ModbusExceptions.Acknowledge && permit is null)
            return Refused(request, code, reply.Timestamp) with { Outcome = CommandOutcome.Unknown };
        if (code != 0)
            return Refused(request, code, reply.Timestamp);
        if (request.PayloadBytes > 0)
            transaction.Payload.CopyTo(payload.Span);
        return new ModbusReply(CommandOutcome.Ok, reply.Timestamp, "");
    }

    /// <summary>A frame made once and written ahead of everything else whenever asked.</summary>
    public ModbusTransaction Urgent(byte[] pdu) =>
        new(ModbusRequest.Write(pdu), framing, unit, AddressBase) { Deadline = deadline, Count = new UrgentCount() };

    private async Task<bool> PauseAsync(long start, CancellationToken cancel)
    {
        if (cancel.IsCancellationRequested || time.GetElapsedTime(start) + _busyPause >= deadline)
            return false;
        await Task.Delay(_busyPause, time, CancellationToken.None);
        return true;
    }

    private ModbusReply Refused(ModbusRequest request, byte code, long timestamp)
    {
        var detail =
            $"{exchange.Name}, unit {unit}: {RequestWords.Of(request.Pdu, AddressBase)} was answered with {ModbusExceptions.Named(code)}: {ModbusExceptions.Advice(code)}.";
        exchange.Counters.Note(detail);
        return new ModbusReply(CommandOutcome.Failed, timestamp, detail);
    }

    private ModbusReply Missed(Reply reply) =>
        new(
            reply.Kind == ReplyKind.NotSent ? CommandOutcome.Failed : CommandOutcome.Unknown,
            reply.Kind is ReplyKind.GivenUp or ReplyKind.NotSent ? time.GetTimestamp() : reply.Timestamp,
            reply.Detail
        );
}

/// <summary>How a request ended: ok, refused or unsent, or unknown.</summary>
/// <param name="Outcome">Ok when carried out; failed when refused or unsent; unknown otherwise.</param>
/// <param name="Timestamp">Of the reply's last byte; of the deadline when none came.</param>
/// <param name="Detail">Words unless ok.</param>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct ModbusReply(CommandOutcome Outcome, long Timestamp, string Detail)
{
    public CommandResult Result => new(Outcome, Detail);
}
