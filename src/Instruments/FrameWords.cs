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
                ? Body(isSent, bytes[0], bytes[1..^2])
                : "part of a frame, or its check is wrong",
            Protocol.ModbusTcp when bytes.Length >= 8 => $"transaction {bytes[0] << 8 | bytes[1]}, "
                + (
                    (bytes[4] << 8 | bytes[5]) == bytes.Length - 6
                        ? Body(isSent, bytes[6], bytes[7..])
                        : "part of a frame, or more than one"
                ),
            Protocol.ModbusAscii => Ascii(isSent, bytes),
            Protocol.ModbusRtu or Protocol.ModbusTcp => "part of a frame",
            _ => Line(bytes),
        };
    }

    private static string Ascii(bool isSent, ReadOnlySpan<byte> text)
    {
        Span<byte> bytes = stackalloc byte[Pdu.MostBytes + 2];
        if (AsciiFrame.Decode(text, bytes) is not ({ } count, var isSound))
            return $"part of a frame: {Line(text)}";
        return isSound ? Body(isSent, bytes[0], bytes[1..(count - 1)]) : $"its check is wrong: {Line(text)}";
    }

    private static string Body(bool isSent, byte unit, ReadOnlySpan<byte> pdu)
    {
        var words = isSent ? Request(pdu) : Reply(pdu);
        return $"unit {unit}: {words}";
    }

    private static string Request(ReadOnlySpan<byte> pdu)
    {
        if (pdu is [Pdu.EncapsulatedInterface, Pdu.DeviceIdentificationKind, var level, var first])
            return $"who are you, level {level} from object {first}";
        if (pdu.Length < 5)
            return $"function {pdu[0]}";
        var start = pdu[1] << 8 | pdu[2];
        var count = pdu[3] << 8 | pdu[4];
        return pdu[0] switch
        {
            Pdu.ReadCoils => $"read {count} coils from {start}",
            Pdu.ReadDiscreteInputs => $"read {count} discrete inputs from {start}",
            Pdu.ReadHoldingRegisters => $"read {count} holding registers from {start}",
            Pdu.ReadInputRegisters => $"read {count} input registers from {start}",
            Pdu.WriteSingleCoil => $"write coil {start}: {(count == 0 ? "off" : "on")}",
            Pdu.WriteSingleRegister => $"write holding register {start}: {count}",
            Pdu.WriteMultipleCoils => $"write {count} coils from {start}: {Hex(pdu[6..])}",
            Pdu.WriteMultipleRegisters => $"write {count} holding registers from {start}: {Hex(pdu[6..])}",
            Pdu.MaskWriteRegister when pdu.Length > 6 =>
                $"holding register {start}: and with {Hex(pdu[3..5])}, or with {Hex(pdu[5..7])}",
            Pdu.ReadWriteRegisters when pdu.Length > 9 =>
                $"write {pdu[7] << 8 | pdu[8]} holding registers from {pdu[5] << 8 | pdu[6]}: {Hex(pdu[10..])}; then read {count} from {start}",
            _ => $"function {pdu[0]}",
        };
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
