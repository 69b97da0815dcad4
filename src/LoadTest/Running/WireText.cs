using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Benches;
using LoadTest.Serving;

namespace LoadTest.Running;

/// <summary>Lines as <c>simulate</c> prints them, and as a person reads them.</summary>
internal static class WireText
{
    private const string SerialPort = "serial port";
    private const string Baud = "baud";
    private const string Parity = "parity";
    private const string DataBits = "data bits";
    private const string StopBits = "stop bits";

    /// <summary>In a few words: <c>127.0.0.1:1502</c>, or port, baud rate and character format.</summary>
    public static string Words(LineText line) =>
        line switch
        {
            LineText.Tcp tcp => string.Create(CultureInfo.InvariantCulture, $"{tcp.Host}:{tcp.Port}"),
            LineText.Serial serial => $"{serial.Port} ({serial.Words})",
            LineText.Simulated simulated => $"simulated {simulated.Device}",
            _ => throw new ArgumentException($"{line} is no line.", nameof(line)),
        };

    /// <summary>One instrument of the document.</summary>
    public static JsonNode Write(ServedInstrument instrument)
    {
        var node = new JsonObject { ["name"] = instrument.Name, ["protocol"] = instrument.Protocol };
        if (instrument.Line is LineText.Serial serial)
        {
            node[SerialPort] = serial.Port;
            node[Baud] = serial.Baud;
            node[Parity] = serial.Parity.ToString().ToLowerInvariant();
            node[DataBits] = serial.DataBits;
            node[StopBits] = serial.StopBits;
        }
        else if (instrument.Line is LineText.Tcp tcp)
        {
            node["host"] = tcp.Host;
            node["port"] = tcp.Port;
        }
        node["unit"] = instrument.Unit;
        return node;
    }

    /// <summary>The line of one instrument of the document.</summary>
    public static LineText Read(JsonElement instrument)
    {
        if (!instrument.TryGetProperty(SerialPort, out var port))
            return new LineText.Tcp(
                instrument.GetProperty("host").GetString()!,
                instrument.GetProperty("port").GetInt32()
            );
        return new LineText.Serial(
            port.GetString()!,
            instrument.GetProperty(Baud).GetInt32(),
            Enum.Parse<SerialParity>(instrument.GetProperty(Parity).GetString()!, ignoreCase: true),
            instrument.GetProperty(DataBits).GetInt32(),
            instrument.GetProperty(StopBits).GetInt32()
        );
    }
}
