using System.Globalization;
using System.Text;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments;

/// <summary>Says what bytes on a line mean, for a person who looks at a trace.</summary>
public static class FrameWords
{
    /// <summary>The bytes in hexadecimal, two digits each.</summary>
    public static string Hex(ReadOnlySpan<byte> bytes)
    {
        var text = new StringBuilder(3 * bytes.Length);
        foreach (var b in bytes)
            text.Append(b.ToString("X2", CultureInfo.InvariantCulture)).Append(' ');
        return text.ToString().TrimEnd();
    }

    /// <summary>What they mean.</summary>
    /// <param name="definition">What is at the other end.</param>
    /// <param name="isSent">Whether they were sent; otherwise they came.</param>
    /// <param name="bytes">The bytes, as they went over the line in one piece.</param>
    public static string Meaning(InstrumentDefinition definition, bool isSent, ReadOnlySpan<byte> bytes)
    {
        ArgumentNullException.ThrowIfNull(definition);
        return definition.Protocol switch
        {
            Protocol.ModbusRtu when bytes.Length >= 4 => Crc16.Holds(bytes)
                ? Body(definition, isSent, bytes[0], bytes[1..^2])
                : "part of a frame, or its check is wrong",
            Protocol.ModbusTcp when bytes.Length >= 8 => $"transaction {bytes[0] << 8 | bytes[1]}, "
                + (
                    (bytes[4] << 8 | bytes[5]) == bytes.Length - 6
                        ? Body(definition, isSent, bytes[6], bytes[7..])
                        : "part of a frame, or more than one"
                ),
            Protocol.ModbusAscii => Ascii(definition, isSent, bytes),
            Protocol.ModbusRtu or Protocol.ModbusTcp => "part of a frame",
            _ => Line(bytes),
        };
    }

    private static string Ascii(InstrumentDefinition definition, bool isSent, ReadOnlySpan<byte> text)
    {
        Span<byte> bytes = stackalloc byte[Pdu.MostBytes + 2];
        if (AsciiFrame.Decode(text, bytes) is not ({ } count, var isSound))
            return $"part of a frame: {Line(text)}";
        return isSound
            ? Body(definition, isSent, bytes[0], bytes[1..(count - 1)])
            : $"its check is wrong: {Line(text)}";
    }

    private static string Body(InstrumentDefinition definition, bool isSent, byte unit, ReadOnlySpan<byte> pdu)
    {
        var words = isSent ? Request(pdu, definition.AddressBase) : Reply(pdu);
        return $"unit {unit}: {words}";
    }

    private static string Request(ReadOnlySpan<byte> pdu, int addressBase)
    {
        if (pdu is [Pdu.EncapsulatedInterface, Pdu.DeviceIdentificationKind, var level, var first])
            return $"who are you, level {level} from object {first}";
        if (pdu.Length < 5)
            return $"function {pdu[0]}";
        var number = RequestWords.Word(pdu, 3);
        var values = pdu[0] switch
        {
            Pdu.WriteSingleCoil => number == 0 ? "off" : "on",
            Pdu.WriteSingleRegister => $"{number}",
            Pdu.WriteMultipleCoils or Pdu.WriteMultipleRegisters when pdu.Length > 6 => Hex(pdu[6..]),
            Pdu.MaskWriteRegister when pdu.Length > 6 => $"and with {Hex(pdu[3..5])}, or with {Hex(pdu[5..7])}",
            Pdu.ReadWriteRegisters when pdu.Length > 9 => Hex(pdu[10..]),
            _ => "",
        };
        var isKnown = pdu[0] is (>= Pdu.ReadCoils and <= Pdu.WriteSingleRegister) || values.Length > 0;
        return !isKnown ? $"function {pdu[0]}"
            : values.Length == 0 ? RequestWords.Of(pdu, addressBase)
            : $"{RequestWords.Of(pdu, addressBase)}: {values}";
    }

    private static string Reply(ReadOnlySpan<byte> pdu)
    {
        if ((pdu[0] & Pdu.ExceptionBit) != 0)
            return $"function {pdu[0] & 0x7F} refused, {ModbusExceptions.Named(pdu.Length > 1 ? pdu[1] : (byte)0)}";
        if (pdu[0] is (>= Pdu.ReadCoils and <= Pdu.ReadInputRegisters) or Pdu.ReadWriteRegisters && pdu.Length > 2)
            return $"{pdu[1]} bytes: {Hex(pdu[2..])}";
        return
            pdu[0]
                is Pdu.WriteSingleCoil
                    or Pdu.WriteSingleRegister
                    or Pdu.WriteMultipleCoils
                    or Pdu.WriteMultipleRegisters
                    or Pdu.MaskWriteRegister
            ? "written"
            : $"function {pdu[0]} carried out";
    }

    /// <summary>Text with its ends and whatever cannot be printed written out.</summary>
    private static string Line(ReadOnlySpan<byte> bytes)
    {
        var text = new StringBuilder("\"");
        foreach (var b in bytes)
        {
            text.Append(
                b switch
                {
                    (byte)'\r' => "<CR>",
                    (byte)'\n' => "<LF>",
                    < 32 or > 126 => $"<{b:X2}>",
                    _ => ((char)b).ToString(),
                }
            );
        }
        return text.Append('"').ToString();
    }
}
