using System.Text;
using LoadTest.Instruments.Modbus;
using LoadTest.Instruments.Text;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments;

/// <summary>What may be sent to an instrument that is only looked at.</summary>
/// <remarks>
/// A second wall: whoever looks asks only, and this holds it whatever the adapters above do. Modbus functions 1 to 4 read;
/// SCPI queries ask, and <c>*ESE</c> with its query stores a number nothing uses; of a text protocol only the lines by which its
/// definition asks.
/// </remarks>
public static class ReadOnlyRule
{
    /// <summary>Why this frame must not be sent; null when it may.</summary>
    public static string? Objection(InstrumentDefinition definition, ReadOnlySpan<byte> frame)
    {
        ArgumentNullException.ThrowIfNull(definition);
        var isReading = definition.Protocol switch
        {
            Protocol.ModbusRtu => frame.Length > 2 && IsRead(frame[1]),
            Protocol.ModbusTcp => frame.Length > 8 && IsRead(frame[7]),
            Protocol.ModbusAscii => frame.Length > 5 && IsRead(Digits(frame[3..5])),
            Protocol.Scpi => IsQuestion(Encoding.ASCII.GetString(frame).TrimEnd()),
            Protocol.Text => IsAsked(definition, frame),
            _ => false,
        };
        return isReading ? null : $"{FrameWords.Meaning(definition, true, frame)} is no question";
    }

    private static bool IsRead(byte function) => function is >= Pdu.ReadCoils and <= Pdu.ReadInputRegisters;

    private static byte Digits(ReadOnlySpan<byte> two) =>
        byte.TryParse(
            two,
            System.Globalization.NumberStyles.AllowHexSpecifier,
            System.Globalization.CultureInfo.InvariantCulture,
            out var value
        )
            ? value
            : (byte)0;

    private static bool IsQuestion(string message) =>
        message
            .Split(';')
            .All(unit =>
                unit.TrimStart().Split(' ')[0].EndsWith('?')
                || unit.TrimStart().StartsWith("*ESE ", StringComparison.Ordinal)
            );

    private static bool IsAsked(InstrumentDefinition definition, ReadOnlySpan<byte> frame)
    {
        var framing = definition.Framing!;
        var text = Encoding.ASCII.GetString(frame);
        return text.EndsWith(framing.SentEnd, StringComparison.Ordinal)
            && TextLines.IsSound(framing, text[..^framing.SentEnd.Length], out var line)
            && Questions(definition).Any(q => TextTemplate.Match(q.Send, line) is not null)
            && !Commands(definition).Any(c => TextTemplate.Match(c.Send, line) is not null);
    }

    private static IEnumerable<TextExchange> Questions(InstrumentDefinition d)
    {
        var identity = d.Identity as IdentityCheck.Question;
        TextExchange?[] all =
        [
            identity?.Ask,
            identity?.Known,
            d.Framing?.StepCheck,
            d.Switching?.Text?.States,
            d.Switching?.Text?.AskWatchdog,
            d.Setter?.Ask,
            .. d.Inputs.Select(i => i.Ask),
            .. d.Settings.Select(s => s.Ask),
            .. d.Flags.Select(s => s.Ask),
            .. d.Relays.Select(s => s.Ask),
        ];
        return all.OfType<TextExchange>();
    }

    private static IEnumerable<TextExchange> Commands(InstrumentDefinition d)
    {
        TextExchange?[] all =
        [
            d.Switching?.Text?.Switch,
            d.Switching?.Text?.Fan,
            d.Switching?.Text?.SetWatchdog,
            d.Setter?.Set,
            .. d.Settings.Select(s => s.Set),
            .. d.Relays.Select(s => s.Set),
        ];
        return all.OfType<TextExchange>();
    }
}
