using LoadTest.Instruments.Line;

namespace LoadTest.Instruments.Modbus;

/// <summary>How request bodies are framed on a kind of line, and replies told apart.</summary>
internal interface IModbusFraming
{
    /// <summary>The frame around a request body.</summary>
    byte[] Encode(byte unit, ReadOnlySpan<byte> pdu);

    /// <summary>Writes the transaction number into a frame; nothing where there is none.</summary>
    void Number(Span<byte> frame, ushort number);

    /// <summary>What the received bytes, at least one, are to the request with this number; of its reply the body is copied out.</summary>
    Examined Examine(
        ReadOnlySpan<byte> received,
        ModbusRequest request,
        byte unit,
        ushort number,
        Span<byte> body,
        out int bodyLength
    );

    /// <summary>The check a reply came with and the one its bytes give, as a clause; null where it bears none or the right one.</summary>
    string? CheckWords(ReadOnlySpan<byte> received);

    /// <summary>What the framing asks of the line.</summary>
    LineRules Rules(TimeSpan turnAround, TimeSpan deadline);
}
