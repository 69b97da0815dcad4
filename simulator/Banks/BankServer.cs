using System.Buffers.Binary;

namespace LoadTest.Simulator.Banks;

/// <summary>Answers a Modbus request without its frame: function code and data in, the same out.</summary>
/// <remarks>MODBUS application protocol V1.1b3, clause 6: function, then quantity and value (03), then address (02), then the deed (04).</remarks>
internal sealed class BankServer(IRegisterMap map)
{
    public const byte IllegalFunction = 1;
    public const byte IllegalAddress = 2;
    public const byte IllegalValue = 3;
    public const byte DeviceFailure = 4;
    public const byte DeviceBusy = 6;

    /// <summary>Works a request out and obeys it.</summary>
    /// <param name="request">Function code and data, at least one byte.</param>
    /// <param name="reply">Room for 253 bytes.</param>
    /// <param name="ticks">When the request has fully arrived.</param>
    /// <returns>Length of the reply.</returns>
    public int Answer(ReadOnlySpan<byte> request, Span<byte> reply, long ticks)
    {
        var function = request[0];
        reply[0] = function;
        map.Fed(ticks);
        if (map.SpendBusy())
        {
            return Refuse(reply, DeviceBusy);
        }

        if (function is not (1 or 2 or 3 or 4 or 5 or 6 or 15 or 16))
        {
            return Refuse(reply, IllegalFunction);
        }

        if (request.Length < 5 || (function <= 6 && request.Length != 5))
        {
            return Refuse(reply, IllegalValue);
        }

        var address = BinaryPrimitives.ReadUInt16BigEndian(request[1..]);
        var word = BinaryPrimitives.ReadUInt16BigEndian(request[3..]);
        return function switch
        {
            1 => ReadBits(reply, address, word, map.CoilCount, map.Coils()),
            2 => ReadBits(reply, address, word, map.DiscreteCount, map.Discretes()),
            3 => ReadWords(reply, address, word, map.HoldingRegisters()),
            4 => ReadWords(reply, address, word, map.InputRegisters()),
            5 => WriteCoil(request, reply, address, word, ticks),
            6 => WriteRegister(request, reply, address, word, ticks),
            15 => WriteCoils(request, reply, address, word, ticks),
            _ => WriteRegisters(request, reply, address, word, ticks),
        };
    }

    private static int Refuse(Span<byte> reply, byte code)
    {
        reply[0] |= 0x80;
        reply[1] = code;
        return 2;
    }

    private static int ReadBits(Span<byte> reply, int address, int quantity, int count, ulong bits)
    {
        if (quantity is < 1 or > 2000)
        {
            return Refuse(reply, IllegalValue);
        }

        if (address + quantity > count)
        {
            return Refuse(reply, IllegalAddress);
        }

        var bytes = (quantity + 7) / 8;
        reply[1] = (byte)bytes;
        var wanted = bits >> address & (ulong.MaxValue >> (64 - quantity));
        for (var i = 0; i < bytes; i++)
        {
            reply[2 + i] = (byte)(wanted >> (8 * i) & 0xFF);
        }

        return 2 + bytes;
    }

    private static int ReadWords(Span<byte> reply, int address, int quantity, ReadOnlySpan<ushort> words)
    {
        if (quantity is < 1 or > 125)
        {
            return Refuse(reply, IllegalValue);
        }

        if (address + quantity > words.Length)
        {
            return Refuse(reply, IllegalAddress);
        }

        reply[1] = (byte)(2 * quantity);
        for (var i = 0; i < quantity; i++)
        {
            BinaryPrimitives.WriteUInt16BigEndian(reply[(2 + 2 * i)..], words[address + i]);
        }

        return 2 + 2 * quantity;
    }

    private int WriteCoil(ReadOnlySpan<byte> request, Span<byte> reply, int address, int word, long ticks)
    {
        if (word is not (0 or 0xFF00))
        {
            return Refuse(reply, IllegalValue);
        }

        if (address >= map.CoilCount)
        {
            return Refuse(reply, IllegalAddress);
        }

        return map.WriteCoils(address, 1, word == 0 ? 0UL : 1UL, ticks)
            ? Echo(request, reply)
            : Refuse(reply, DeviceFailure);
    }

    private int WriteRegister(ReadOnlySpan<byte> request, Span<byte> reply, int address, ushort word, long ticks)
    {
        if (address >= map.HoldingCount)
        {
            return Refuse(reply, IllegalAddress);
        }

        return map.WriteHolding(address, [word], ticks) ? Echo(request, reply) : Refuse(reply, IllegalValue);
    }

    private int WriteCoils(ReadOnlySpan<byte> request, Span<byte> reply, int address, int quantity, long ticks)
    {
        var bytes = (quantity + 7) / 8;
        if (quantity is < 1 or > 0x7B0 || request.Length != 6 + bytes || request[5] != bytes)
        {
            return Refuse(reply, IllegalValue);
        }

        if (address + quantity > map.CoilCount)
        {
            return Refuse(reply, IllegalAddress);
        }

        var values = 0UL;
        for (var i = 0; i < bytes; i++)
        {
            values |= (ulong)request[6 + i] << (8 * i);
        }

        values &= ulong.MaxValue >> (64 - quantity);
        return map.WriteCoils(address, quantity, values, ticks) ? Echo(request, reply) : Refuse(reply, DeviceFailure);
    }

    private int WriteRegisters(ReadOnlySpan<byte> request, Span<byte> reply, int address, int quantity, long ticks)
    {
        if (quantity is < 1 or > 123 || request.Length != 6 + 2 * quantity || request[5] != 2 * quantity)
        {
            return Refuse(reply, IllegalValue);
        }

        if (address + quantity > map.HoldingCount)
        {
            return Refuse(reply, IllegalAddress);
        }

        Span<ushort> words = stackalloc ushort[quantity];
        for (var i = 0; i < quantity; i++)
        {
            words[i] = BinaryPrimitives.ReadUInt16BigEndian(request[(6 + 2 * i)..]);
        }

        return map.WriteHolding(address, words, ticks) ? Echo(request, reply) : Refuse(reply, IllegalValue);
    }

    // A write is answered with its function, address and value or quantity.
    private static int Echo(ReadOnlySpan<byte> request, Span<byte> reply)
    {
        request[..5].CopyTo(reply);
        return 5;
    }
}
