using LoadTest.Instruments.Scpi;

namespace LoadTest.Instruments.Line;

/// <summary>Says what came back instead of a sound reply, and where to look for the cause.</summary>
internal static class BadReply
{
    /// <summary>Bytes alike that make the beginning of an echo; fewer are alike by chance.</summary>
    private const int LeastAlike = 4;

    private const string Causes =
        "Check for noise and loose shields, speed and parity on both sides, two instruments with one address, and that it speaks the protocol of its definition";

    /// <summary>Whether what came is the request itself, whole or its beginning.</summary>
    public static bool IsEcho(Transaction request, ReadOnlySpan<byte> received)
    {
        var alike = received.CommonPrefixLength(request.Frame);
        return alike == request.Frame.Length || (alike == received.Length && alike >= LeastAlike);
    }

    /// <summary>What came, as the rest of a sentence about the request, without its full stop.</summary>
    public static string Words(Transaction request, ReadOnlySpan<byte> received)
    {
        if (IsEcho(request, received))
            return $"its own bytes came back, an echo. {request.EchoAdvice}";
        return request.CheckWords(received) is { } check
            ? $"came {Ascii.Shown(received)}, and {check}. {Causes}"
            : $"came {Ascii.Shown(received)}, which is no reply of its protocol. {Causes}";
    }

    /// <summary>Two replies to one request, as the rest of a sentence.</summary>
    public static string Twice(Transaction request, ReadOnlySpan<byte> received) =>
        IsEcho(request, received)
            ? $"two replies came, both alike and as it was sent: one may be an echo. {request.EchoAdvice}"
            : "two replies came. Check that no two instruments have one address";
}
