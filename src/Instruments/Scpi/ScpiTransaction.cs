using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Scpi;

/// <summary>One SCPI message on the wire: a query and its reply, a line or a block of bytes, or a command without one.</summary>
internal sealed class ScpiTransaction : Transaction
{
    /// <summary>Longest reply taken as a line of text.</summary>
    public const int MostReplyBytes = 4096;

    private readonly byte[] _message;
    private readonly string _words;
    private readonly bool _expectsReply;
    private readonly bool _isBlock;
    private byte[] _reply = new byte[32];
    private int _replyLength;

    /// <summary>Encodes a message; it is a query when its first header ends with a question mark.</summary>
    /// <param name="message">The message.</param>
    /// <param name="isBlock">Whether its reply is a block of bytes instead of a line.</param>
    /// <exception cref="ArgumentException">The message is empty or has characters other than printable ASCII.</exception>
    public ScpiTransaction(string message, bool isBlock = false)
    {
        if (message.Length == 0 || message.AsSpan().IndexOfAnyExceptInRange(' ', '~') >= 0)
            throw new ArgumentException(
                $"A SCPI message is one line of printable ASCII; found \"{message}\".",
                nameof(message)
            );
        _message = [.. message.Select(c => (byte)c), (byte)'\n'];
        _expectsReply = IsQuery(message);
        _isBlock = isBlock;
        _words = message;
    }

    public override ReadOnlySpan<byte> Frame => _message;

    public override bool ExpectsReply => _expectsReply;

    public override string Words => _words;

    public override string EchoAdvice =>
        "Switch the echo off at the instrument or its adapter: no setting for SCPI takes one";

    /// <summary>The reply without its terminator, of a block its bytes; valid until the transaction is used again.</summary>
    public ReadOnlySpan<byte> Line => _reply.AsSpan(0, _replyLength);

    /// <summary>Whether a message asks for a reply: a program header in it ends with a question mark.</summary>
    public static bool IsQuery(string message) =>
        message.Split(';').Any(unit => unit.TrimStart().Split(' ', 2)[0].EndsWith('?'));

    public override Examined Examine(ReadOnlySpan<byte> received)
    {
        if (_isBlock)
        {
            var examined = BlockReply.Examine(received, out var block);
            if (examined.Verdict == Verdict.Reply)
                Keep(received[block]);
            return examined;
        }
        var end = received.IndexOf((byte)'\n');
        if (end < 0)
            return received.Length > MostReplyBytes
                ? new Examined(Verdict.Garbage, received.Length)
                : new Examined(Verdict.More, 0);
        if (end > MostReplyBytes)
            return new Examined(Verdict.Garbage, received.Length);
        Keep(Ascii.Trimmed(received[..end]));
        // No answer is its own question: this one came back by itself, and the answer is still to come.
        return new Examined(Line.SequenceEqual(_message.AsSpan(..^1)) ? Verdict.Garbage : Verdict.Reply, end + 1);
    }

    private void Keep(ReadOnlySpan<byte> reply)
    {
        if (reply.Length > _reply.Length)
            _reply = new byte[reply.Length];
        reply.CopyTo(_reply);
        _replyLength = reply.Length;
    }
}
