using System.Globalization;
using System.Text;
using LoadTest.Simulator.Banks;

namespace LoadTest.Simulator.Accessories;

/// <summary>How a simulated device frames its lines.</summary>
/// <param name="SentEnd">What ends a request.</param>
/// <param name="ReplyEnd">What ends an answer.</param>
/// <param name="Check">"", "sum", "xor" or "crc".</param>
/// <param name="Mark">What stands between line and check digits; may be empty.</param>
/// <param name="HasEcho">Whether every byte heard is said again at once.</param>
internal sealed record TextFrame(string SentEnd, string ReplyEnd, string Check, string Mark, bool HasEcho)
{
    /// <summary>The line with its check digits.</summary>
    public string Checked(string line) => Check.Length == 0 ? line : line + Mark + Digits(line);

    /// <summary>The line without its check digits; null when they are wrong.</summary>
    public string? Unchecked(string received)
    {
        if (Check.Length == 0)
        {
            return received;
        }

        var length = received.Length - Mark.Length - (Check == "crc" ? 4 : 2);
        return length > 0 && string.Equals(Checked(received[..length]), received, StringComparison.OrdinalIgnoreCase)
            ? received[..length]
            : null;
    }

    private string Digits(string line)
    {
        var bytes = Encoding.Latin1.GetBytes(line);
        var sum = 0;
        foreach (var b in bytes)
        {
            sum = Check == "xor" ? sum ^ b : (sum + b) % 256;
        }

        return Check == "crc"
            ? Crc16.Of(bytes).ToString("X4", CultureInfo.InvariantCulture)
            : sum.ToString("X2", CultureInfo.InvariantCulture);
    }
}
