using System.Security.Cryptography;
using System.Text;

namespace LoadTest.Serving;

/// <summary>How a served simulator proves, to whoever has the secret of its start, which connections end in it.</summary>
/// <remarks>
/// The asker says <c>prove NONCE</c> on the hands' line. The answer is <c>proof CODE bank-1=127.0.0.1:40112 …</c>: each device
/// with the far ends of its connections, and HMAC-SHA256 (RFC 2104, FIPS 180-4) of nonce and list under the secret. An asker that
/// finds its own end of every line in the list knows that nothing stands between: a tunnel to a real bench has other ends. Where the
/// system tells, the asker also looks which process has those ends (<see cref="FarEnd"/>): one, and of this program.
/// </remarks>
internal static class StartProof
{
    private const int SecretBytes = 16;

    /// <summary>A secret for one start, lower-case hexadecimal.</summary>
    public static string NewSecret() => RandomNumberGenerator.GetHexString(2 * SecretBytes, lowercase: true);

    /// <summary>A nonce for one question.</summary>
    public static string NewNonce() => NewSecret();

    /// <summary>The answer to a nonce.</summary>
    /// <param name="secret">Secret of this start.</param>
    /// <param name="nonce">What the asker chose.</param>
    /// <param name="ends">Each device, equals sign, far ends of its connections with commas between.</param>
    public static string Answer(string secret, string nonce, IEnumerable<string> ends)
    {
        var list = string.Join(' ', ends);
        return $"proof {Code(secret, nonce, list)} {list}";
    }

    /// <summary>Checks an answer.</summary>
    /// <param name="secret">Secret of the start.</param>
    /// <param name="nonce">What was asked.</param>
    /// <param name="answer">The answer.</param>
    /// <param name="own">Device and our end of the line to it, for every line.</param>
    /// <returns>Null when it proves every line; otherwise why not.</returns>
    public static string? Objection(
        string secret,
        string nonce,
        string answer,
        IEnumerable<(string Device, string End)> own
    )
    {
        if (answer.Split(' ', 3) is not ["proof", var code, var list])
            return $"the hands answered \"{answer}\" instead of a proof";
        if (
            !CryptographicOperations.FixedTimeEquals(
                Encoding.ASCII.GetBytes(code),
                Encoding.ASCII.GetBytes(Code(secret, nonce, list))
            )
        )
            return "the proof does not fit the secret of this start";
        var ends = list.Split(' ', StringSplitOptions.RemoveEmptyEntries)
            .Select(e => e.Split('=', 2))
            .Where(e => e.Length == 2)
            .ToDictionary(e => e[0], e => e[1].Split(','), StringComparer.Ordinal);
        foreach (var (device, end) in own)
        {
            if (!ends.TryGetValue(device, out var known) || !known.Contains(end, StringComparer.Ordinal))
                return $"the line of {device} does not end in the simulator";
        }
        return null;
    }

    private static string Code(string secret, string nonce, string list) =>
        Convert.ToHexStringLower(
            HMACSHA256.HashData(Encoding.ASCII.GetBytes(secret), Encoding.UTF8.GetBytes($"{nonce} {list}"))
        );
}
