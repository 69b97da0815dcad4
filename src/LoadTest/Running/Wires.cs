using System.Net;
using System.Text.Json;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;
using LoadTest.Serving;

namespace LoadTest.Running;

/// <summary>Where a bench is: the lines of its file, or what <c>simulate --json</c> prints.</summary>
/// <param name="Instruments">Line of each instrument by its id.</param>
/// <param name="Hands">Address of the simulator's hands; null at a real bench.</param>
/// <param name="Secret">Secret of the simulator's start; null at a real bench.</param>
internal sealed record Wires(IReadOnlyDictionary<string, LineText> Instruments, DnsEndPoint? Hands, string? Secret)
{
    /// <summary>Reads the document.</summary>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="json">Its text.</param>
    /// <exception cref="FormatException">It is not such a document.</exception>
    public static Wires Parse(string file, string json)
    {
        try
        {
            using var document = JsonDocument.Parse(json);
            var root = document.RootElement;
            var all = root.GetProperty("instruments")
                .EnumerateArray()
                .ToDictionary(i => i.GetProperty("name").GetString()!, WireText.Read, StringComparer.Ordinal);
            return all.Remove(BenchServer.HandsName, out var hands) && hands is LineText.Tcp tcp
                ? new Wires(all, new DnsEndPoint(tcp.Host, tcp.Port), root.GetProperty("secret").GetString()!)
                : throw new FormatException($"{file}: lists no hands.");
        }
        catch (Exception trouble)
            when (trouble is JsonException or KeyNotFoundException or InvalidOperationException or ArgumentException)
        {
            throw new FormatException(
                $"{file}: this is not what `loadtest simulate BENCH --json` prints: {SentenceText.Of(trouble)}",
                trouble
            );
        }
    }

    /// <summary>An address as a person writes it, host:port.</summary>
    /// <exception cref="FormatException">It is none.</exception>
    public static DnsEndPoint Address(string text)
    {
        var colon = text.LastIndexOf(':');
        return
            colon > 0
            && int.TryParse(
                text[(colon + 1)..],
                System.Globalization.NumberStyles.None,
                System.Globalization.CultureInfo.InvariantCulture,
                out var port
            )
            && port is >= 1 and <= IPEndPoint.MaxPort
            ? new DnsEndPoint(text[..colon].Trim('[', ']'), port)
            : throw new FormatException(
                $"`{text}` is not an address. Write host and port, for example 127.0.0.1:1500."
            );
    }
}
