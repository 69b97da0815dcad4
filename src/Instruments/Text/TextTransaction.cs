using System.Collections.Immutable;
using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments.Text;

/// <summary>One line of a text protocol on the wire, and the line that answers it.</summary>
/// <param name="framing">How lines are framed.</param>
/// <param name="what">Request and reply.</param>
/// <param name="values">Values of the request's fields.</param>
/// <param name="overRange">The reply that says overload instead; null for none.</param>
internal sealed class TextTransaction(
    TextFraming framing,
    TextExchange what,
    IReadOnlyDictionary<string, double> values,
    TextPattern? overRange = null
) : Transaction
{
    private readonly byte[] _frame = TextLines.Encode(framing, TextTemplate.Write(what.Send, values));
    private readonly string _words = TextTemplate.Write(what.Send, values);
    private string? _check;

    public override ReadOnlySpan<byte> Frame => _frame;

    public override string Words => _words;

    public override string EchoAdvice =>
        "If it always does so, write `echo: yes` under `framing` in its definition; otherwise switch the echo off at the adapter";

    public override string? CheckWords(ReadOnlySpan<byte> received) => _check;

    public override bool IsDone => Refusal is null;

    /// <summary>Fields of the reply.</summary>
    public ImmutableDictionary<string, string> Fields { get; private set; } = ImmutableDictionary<string, string>.Empty;

    /// <summary>The reply by which the request was refused; null when it was carried out.</summary>
    public string? Refusal { get; private set; }

    /// <summary>Whether the reply said overload.</summary>
    public bool IsOverRange { get; private set; }

    /// <summary>The last sound line that came and was no reply to this, in words; empty when there was none.</summary>
    public string Foreign { get; private set; } = "";

    public override Examined Examine(ReadOnlySpan<byte> received)
    {
        var at = 0;
        if (framing.HasEcho)
        {
            var common = received.CommonPrefixLength(_frame);
            if (common == received.Length && common < _frame.Length)
                return new Examined(Verdict.More, 0);
            at = common == _frame.Length ? common : 0;
        }
        var rest = received[at..];
        var end = rest.IndexOf(Encoding.ASCII.GetBytes(framing.ReplyEnd));
        if (end < 0)
            return rest.Length > TextLines.MostReplyBytes
                ? new Examined(Verdict.Garbage, received.Length)
                : new Examined(Verdict.More, 0);
        var used = at + end + framing.ReplyEnd.Length;
        var bytes = rest[..end];
        if (end > TextLines.MostReplyBytes || bytes.IndexOfAnyExceptInRange((byte)' ', (byte)'~') >= 0)
        {
            _check = null;
            return new Examined(Verdict.Garbage, used);
        }
        var whole = Encoding.ASCII.GetString(bytes);
        _check = TextLines.CheckWords(framing, whole, out var line);
        if (_check is not null)
            return new Examined(Begins(whole) ? Verdict.Damaged : Verdict.Garbage, used);
        // A line without the echo that has to come first answers something else.
        return framing.HasEcho && at == 0
            ? Stale($"\"{line}\" without the request in front of it, where its definition says `echo: yes`", used)
            : Take(line, used);
    }

    private Examined Take(string line, int used)
    {
        Refusal = null;
        IsOverRange = false;
        if (TextTemplate.Match(what.Reply, line) is { } fields && Repeats(fields))
        {
            Fields = fields;
            return new Examined(Verdict.Reply, used);
        }
        if (overRange is not null && TextTemplate.Match(overRange, line) is not null)
        {
            IsOverRange = true;
            return new Examined(Verdict.Reply, used);
        }
        if (framing.Refusals.Any(r => TextTemplate.Match(r, line) is not null))
        {
            Refusal = line;
            return new Examined(Verdict.Reply, used);
        }
        return Stale($"\"{line}\", which is no reply to it", used);
    }

    private Examined Stale(string what, int used)
    {
        Foreign = what;
        return new Examined(Verdict.Stale, used);
    }

    /// <summary>Whether fields that stand in request and reply have one value.</summary>
    private bool Repeats(ImmutableDictionary<string, string> fields) =>
        what.Send.Names.All(name =>
            !fields.TryGetValue(name, out var text)
            || (
                TextTemplate.Number(what.Reply, name, text, out var found) == Sequencer.Ports.IndicationFlag.Good
                && Math.Abs(found - values[name]) <= 1e-6 * Math.Abs(values[name])
            )
        );

    private bool Begins(string line) =>
        what.Reply.Parts[0] is not TextPart.Fixed start || line.StartsWith(start.Characters, StringComparison.Ordinal);
}
