using System.Buffers.Binary;

namespace LoadTest.Instruments.Modbus;

/// <summary>Request bodies of the Modbus functions used here, and the shape of their replies.</summary>
/// <remarks>MODBUS Application Protocol V1.1b3, clause 6; addresses are the protocol's, counted from 0, high byte first.</remarks>
internal static class Pdu
{
    public const byte ReadCoils = 1;
    public const byte ReadDiscreteInputs = 2;
    public const byte ReadHoldingRegisters = 3;
    public const byte ReadInputRegisters = 4;
    public const byte WriteSingleCoil = 5;
    public const byte WriteSingleRegister = 6;
    public const byte WriteMultipleCoils = 15;
    public const byte WriteMultipleRegisters = 16;
    public const byte MaskWriteRegister = 22;
    public const byte ReadWriteRegisters = 23;

    /// <summary>Encapsulated interface; of its kinds only the device identification is used.</summary>
    public const byte EncapsulatedInterface = 43;

    /// <summary>Kind of encapsulated interface: device identification.</summary>
    public const byte DeviceIdentificationKind = 14;

    /// <summary>Most bits one request reads.</summary>
    public const int MostBitsRead = 2000;

    /// <summary>Most registers one request reads.</summary>
    public const int MostRegistersRead = 125;

    /// <summary>Most coils one request writes.</summary>
    public const int MostCoilsWritten = 1968;

    /// <summary>Most registers one request writes.</summary>
    public const int MostRegistersWritten = 123;

    /// <summary>Most registers function 23 writes while it reads.</summary>
    public const int MostRegistersWrittenAndRead = 121;

    /// <summary>Most bytes of a request or reply body.</summary>
    public const int MostBytes = 253;

    /// <summary>Bit of the function code that marks an exception reply.</summary>
    public const byte ExceptionBit = 0x80;

    /// <summary>Request to read bits (functions 1, 2) or registers (functions 3, 4). Reading coils 20 to 38 is <c>01 00 13 00 13</c>.</summary>
    public static byte[] Read(byte function, int start, int count)
    {
        var most = function switch
        {
            ReadCoils or ReadDiscreteInputs => MostBitsRead,
            ReadHoldingRegisters or ReadInputRegisters => MostRegistersRead,
            _ => throw new ArgumentOutOfRangeException(nameof(function), function, "Functions 1 to 4 read."),
        };
        return Header(function, start, count, most, 5);
    }

    /// <summary>Request to write one coil: FF00 for on, 0000 for off.</summary>
    public static byte[] WriteCoil(int address, bool isOn)
    {
        var pdu = Header(WriteSingleCoil, address, 1, 1, 5);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(3), isOn ? (ushort)0xFF00 : (ushort)0);
        return pdu;
    }

    /// <summary>Request to write one holding register.</summary>
    public static byte[] WriteRegister(int address, ushort value)
    {
        var pdu = Header(WriteSingleRegister, address, 1, 1, 5);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(3), value);
        return pdu;
    }

    /// <summary>Request to write neighbouring coils, coil <paramref name="start"/> + k as bit k of <paramref name="mask"/>.</summary>
    public static byte[] WriteCoils(int start, int count, uint mask)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(count, 32);
        var bytes = (count + 7) / 8;
        var pdu = Header(WriteMultipleCoils, start, count, MostCoilsWritten, 6 + bytes);
        pdu[5] = (byte)bytes;
        for (var k = 0; k < bytes; k++)
            pdu[6 + k] = (byte)(mask >> 8 * k & 0xFF);
        return pdu;
    }

    /// <summary>Request to write neighbouring holding registers.</summary>
    public static byte[] WriteRegisters(int start, ReadOnlySpan<ushort> values)
    {
        var pdu = Header(WriteMultipleRegisters, start, values.Length, MostRegistersWritten, 6 + 2 * values.Length);
        pdu[5] = (byte)(2 * values.Length);
        for (var k = 0; k < values.Length; k++)
            BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(6 + 2 * k), values[k]);
        return pdu;
    }

    /// <summary>Request to change bits of a holding register: (present AND <paramref name="and"/>) OR (<paramref name="or"/> AND NOT <paramref name="and"/>).</summary>
    /// <remarks>Clause 6.16: 12h with AND F2h, OR 25h becomes 17h.</remarks>
    public static byte[] MaskRegister(int address, ushort and, ushort or)
    {
        var pdu = Header(MaskWriteRegister, address, 1, 1, 7);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(3), and);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(5), or);
        return pdu;
    }

    /// <summary>Request to write neighbouring holding registers and then read some, in one transaction.</summary>
    public static byte[] ReadAndWriteRegisters(
        int readStart,
        int readCount,
        int writeStart,
        ReadOnlySpan<ushort> values
    )
    {
        var pdu = Header(ReadWriteRegisters, readStart, readCount, MostRegistersRead, 10 + 2 * values.Length);
        Header(ReadWriteRegisters, writeStart, values.Length, MostRegistersWrittenAndRead, 5)
            .AsSpan(1)
            .CopyTo(pdu.AsSpan(5));
        pdu[9] = (byte)(2 * values.Length);
        for (var k = 0; k < values.Length; k++)
            BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(10 + 2 * k), values[k]);
        return pdu;
    }

    /// <summary>Request for a stream of identification objects: level 1 basic, 2 regular, 3 extended; from an object on.</summary>
    public static byte[] ReadIdentification(byte level, byte firstObject)
    {
        if (level is < 1 or > 3)
            throw new ArgumentOutOfRangeException(nameof(level), level, "Levels 1 to 3 are streams of objects.");
        return [EncapsulatedInterface, DeviceIdentificationKind, level, firstObject];
    }

    /// <summary>Bytes of payload a read's reply must carry.</summary>
    public static int PayloadBytes(byte function, int count) =>
        function is ReadCoils or ReadDiscreteInputs ? (count + 7) / 8 : 2 * count;

    private static byte[] Header(byte function, int start, int count, int most, int length)
    {
        if (count < 1 || count > most)
            throw new ArgumentOutOfRangeException(
                nameof(count),
                count,
                $"Function {function} takes 1 to {most} at once."
            );
        if (start < 0 || start + count > 0x10000)
            throw new ArgumentOutOfRangeException(nameof(start), start, "Protocol addresses run from 0 to 65535.");
        var pdu = new byte[length];
        pdu[0] = function;
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(1), (ushort)start);
        BinaryPrimitives.WriteUInt16BigEndian(pdu.AsSpan(3), (ushort)count);
        return pdu;
    }
}
