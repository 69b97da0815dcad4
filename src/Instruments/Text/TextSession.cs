using System.Collections.Immutable;
using System.Runtime.InteropServices;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Text;

/// <summary>Questions and commands to one instrument on a text protocol: one in flight, no command repeated.</summary>
internal sealed class TextSession(
    Exchange exchange,
    TextFraming framing,
    TimeSpan deadline,
    MayRepeat mayRepeat,
    TimeProvider time
)
{
    private static readonly ImmutableDictionary<string, double> None = ImmutableDictionary.Create<string, double>(
        StringComparer.Ordinal
    );

    /// <summary>What a text protocol asks of the line: nothing tells a late reply from the next, so it is waited for.</summary>
    public static LineRules Rules(TimeSpan turnAround, TimeSpan deadline) =>
        new(HasNumbers: false, turnAround, LateWindow: deadline);

    public Exchange Exchange => exchange;

    public TextFraming Framing => framing;

    /// <summary>Asks; a damaged answer is asked for once more where the definition allows it.</summary>
    public async Task<TextReply> AskAsync(
        TextExchange what,
        CancellationToken cancel,
        TextPattern? overRange = null,
        bool isProbe = false,
        (string Name, double Value)? field = null
    )
    {
        var start = time.GetTimestamp();
        var mayAskAgain = mayRepeat == MayRepeat.DamagedReads;
        while (true)
        {
            var transaction = new TextTransaction(framing, what, Values(field), overRange)
            {
                Deadline = deadline - time.GetElapsedTime(start),
                MayLeaveInDoubt = isProbe,
            };
            var reply = await exchange.RunAsync(transaction, cancel);
            if (reply.Kind == ReplyKind.Damaged && mayAskAgain && time.GetElapsedTime(start) < deadline)
            {
                mayAskAgain = false;
                continue;
            }
            return Understood(transaction, reply);
        }
    }

    /// <summary>Sends a command, once; the reply says that it was done.</summary>
    /// <param name="what">Command and reply.</param>
    /// <param name="name">Its field.</param>
    /// <param name="value">The field's value.</param>
    /// <param name="permit">Asked inside the write gate; null for a command that cannot energise.</param>
    /// <param name="makesSafe">Whether it may be sent while an earlier reply is in doubt.</param>
    /// <param name="cancel">Gives up waiting.</param>
    public async Task<TextReply> CommandAsync(
        TextExchange what,
        string name,
        double value,
        Func<bool>? permit,
        bool makesSafe,
        CancellationToken cancel
    )
    {
        var transaction = new TextTransaction(framing, what, Values((name, value)))
        {
            Deadline = deadline,
            Permit = permit,
            MayLeaveInDoubt = makesSafe,
        };
        return Understood(transaction, await exchange.RunAsync(transaction, cancel));
    }

    /// <summary>A line made once and written ahead of everything else whenever asked.</summary>
    public TextTransaction Urgent(TextExchange what, string name, double value) =>
        new(framing, what, Values((name, value))) { Deadline = deadline, Count = new UrgentCount() };

    private static ImmutableDictionary<string, double> Values((string Name, double Value)? field) =>
        field is { } given ? None.Add(given.Name, given.Value) : None;

    private TextReply Understood(TextTransaction transaction, Reply reply)
    {
        if (reply.Kind == ReplyKind.Complete)
        {
            if (transaction.Refusal is not { } refusal)
                return new TextReply(CommandResult.Ok, reply.Timestamp, transaction.Fields, transaction.IsOverRange);
            var words = $"{exchange.Name}: {transaction.Words} was refused with \"{refusal}\".";
            exchange.Counters.Note(words);
            return new TextReply(CommandResult.Failed(words), reply.Timestamp, transaction.Fields, false);
        }
        var isForeign = reply.Kind == ReplyKind.TimedOut && transaction.Foreign.Length > 0;
        var detail = isForeign ? $"{reply.Detail} What came is {transaction.Foreign}." : reply.Detail;
        var at = reply.Kind is ReplyKind.GivenUp or ReplyKind.NotSent ? time.GetTimestamp() : reply.Timestamp;
        return new TextReply(
            reply.Kind == ReplyKind.NotSent ? CommandResult.Failed(detail) : CommandResult.Unknown(detail),
            at,
            transaction.Fields,
            false
        );
    }
}

/// <summary>How a question or command ended.</summary>
/// <param name="Result">Ok when carried out; failed when refused or unsent; unknown otherwise.</param>
/// <param name="Timestamp">Of the reply's last byte; of the deadline when none came.</param>
/// <param name="Fields">Fields of the reply.</param>
/// <param name="IsOverRange">Whether the reply said overload.</param>
[StructLayout(LayoutKind.Auto)]
internal readonly record struct TextReply(
    CommandResult Result,
    long Timestamp,
    ImmutableDictionary<string, string> Fields,
    bool IsOverRange
);
