using System.Runtime.InteropServices;
using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Scpi;

/// <summary>Queries and commands to one SCPI instrument, one query in flight, none repeated.</summary>
internal sealed class ScpiSession(Exchange exchange, TimeSpan deadline, TimeProvider time)
{
    /// <summary>What SCPI asks of the line: nothing tells a late reply from the next, so it is waited for.</summary>
    public static LineRules Rules(TimeSpan turnAround, TimeSpan deadline) =>
        new(HasNumbers: false, turnAround, LateWindow: deadline);

    public Exchange Exchange => exchange;

    /// <summary>Longest wait for the line, and again for the reply.</summary>
    public TimeSpan Deadline => deadline;

    /// <summary>Sends a command; ok means sent, the error queue tells the rest.</summary>
    public async Task<CommandResult> SendAsync(string command, CancellationToken cancel)
    {
        if (ScpiTransaction.IsQuery(command))
            throw new ArgumentException(
                $"\"{command}\" is a query; its reply would be taken for another's.",
                nameof(command)
            );
        var reply = await RunAsync(new ScpiTransaction(command) { MayLeaveInDoubt = true }, cancel);
        return Result(reply);
    }

    /// <summary>Asks, and returns the reply as text.</summary>
    public Task<ScpiText> QueryAsync(string query, CancellationToken cancel) => AskAsync(query, isProbe: false, cancel);

    /// <summary>Asks what has a known answer; allowed while an earlier reply is in doubt.</summary>
    public Task<ScpiText> ProbeAsync(string query, CancellationToken cancel) => AskAsync(query, isProbe: true, cancel);

    /// <summary>Asks for a block of bytes, of stated length or up to the end of the message.</summary>
    public async Task<(CommandResult Result, byte[] Bytes)> BlockAsync(string query, CancellationToken cancel)
    {
        var transaction = new ScpiTransaction(query, isBlock: true);
        if (!transaction.ExpectsReply)
            throw new ArgumentException($"\"{query}\" is no query; no reply would come.", nameof(query));
        var reply = await RunAsync(transaction, cancel);
        return (Result(reply), reply.Kind == ReplyKind.Complete ? transaction.Line.ToArray() : []);
    }

    /// <summary>Reads the standard event register, which empties it: ok with its bits.</summary>
    public Task<(CommandResult Result, uint Register)> EventsAsync(CancellationToken cancel) =>
        RegisterAsync("*ESR?", cancel);

    /// <summary>Reads the status byte: ok with its bits.</summary>
    public Task<(CommandResult Result, uint Register)> StatusByteAsync(CancellationToken cancel) =>
        RegisterAsync("*STB?", cancel);

    /// <summary>Asks for one number with a query prepared once.</summary>
    public async Task<Indication> ReadAsync(ScpiTransaction query, CancellationToken cancel)
    {
        var reply = await RunAsync(query, cancel);
        if (reply.Kind != ReplyKind.Complete)
        {
            var at = reply.Kind is ReplyKind.GivenUp or ReplyKind.NotSent ? time.GetTimestamp() : reply.Timestamp;
            return new Indication(0, IndicationFlag.Missing, at);
        }
        var flag = NumericReply.Read(query.Line, out var value);
        if (flag == IndicationFlag.NotANumber && !NumericReply.IsNumber(query.Line))
        {
            exchange.Distrust();
            exchange.Counters.Note(
                $"{exchange.Name}: {query.Words} was answered with {Ascii.Shown(query.Line)}, which is no number."
            );
        }
        return new Indication(value, flag, reply.Timestamp);
    }

    private async Task<(CommandResult Result, uint Register)> RegisterAsync(string query, CancellationToken cancel)
    {
        const uint MostOfByte = 255;
        var reply = await QueryAsync(query, cancel);
        if (reply.Result.Outcome != CommandOutcome.Ok)
            return (reply.Result, 0);
        if (TextReply.TryWhole(reply.Text, out var register) && register <= MostOfByte)
            return (CommandResult.Ok, register);
        exchange.Distrust();
        return (
            CommandResult.Failed(
                $"{exchange.Name}: {query} was answered with \"{reply.Text}\"; a whole number from 0 to 255 is allowed."
            ),
            0
        );
    }

    private async Task<ScpiText> AskAsync(string query, bool isProbe, CancellationToken cancel)
    {
        var transaction = new ScpiTransaction(query) { MayLeaveInDoubt = isProbe };
        if (!transaction.ExpectsReply)
            throw new ArgumentException($"\"{query}\" is no query; no reply would come.", nameof(query));
        var reply = await RunAsync(transaction, cancel);
        if (reply.Kind != ReplyKind.Complete)
            return new ScpiText(Result(reply), "");
        return transaction.Line.IndexOfAnyExceptInRange((byte)' ', (byte)'~') < 0
            ? new ScpiText(CommandResult.Ok, Encoding.ASCII.GetString(transaction.Line))
            : new ScpiText(
                CommandResult.Failed(
                    $"{exchange.Name}: {query} was answered with {Ascii.Shown(transaction.Line)}, which is no line of text. Check terminator and interface settings."
                ),
                ""
            );
    }

    private Task<Reply> RunAsync(ScpiTransaction transaction, CancellationToken cancel)
    {
        transaction.Deadline = deadline;
        return exchange.RunAsync(transaction, cancel);
    }

    private static CommandResult Result(Reply reply) =>
        reply.Kind switch
        {
            ReplyKind.Complete => CommandResult.Ok,
            ReplyKind.NotSent => CommandResult.Failed(reply.Detail),
            _ => CommandResult.Unknown(reply.Detail),
        };
}

/// <summary>A line of reply, or why there is none.</summary>
/// <param name="Result">Ok when the reply came.</param>
/// <param name="Text">The reply without its terminator.</param>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct ScpiText(CommandResult Result, string Text);
