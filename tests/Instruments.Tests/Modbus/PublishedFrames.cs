using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;

namespace LoadTest.InstrumentsTests.Modbus;

/// <summary>The worked examples of the MODBUS Application Protocol Specification V1.1b3, clause 6, byte for byte.</summary>
/// <remarks>
/// Bodies as transcribed in two independent public conformance tests; the RTU frames around them were computed
/// apart from this project (CRC-16, polynomial A001, start FFFF, low byte first).
/// </remarks>
public sealed class PublishedFrames
{
    [Fact]
    public void Read_requests_encode_as_published()
    {
        Assert.Equal("0100130013", Hex(Pdu.Read(1, 0x13, 19))); // 6.1, coils 20 to 38
        Assert.Equal("0200C40016", Hex(Pdu.Read(2, 0xC4, 22))); // 6.2, inputs 197 to 218
        Assert.Equal("03006B0003", Hex(Pdu.Read(3, 0x6B, 3))); // 6.3, registers 108 to 110
        Assert.Equal("0400080001", Hex(Pdu.Read(4, 8, 1))); // 6.4, input register 9
    }

    [Fact]
    public void Write_requests_encode_as_published()
    {
        Assert.Equal("0500ACFF00", Hex(Pdu.WriteCoil(0xAC, true))); // 6.5, coil 173 on
        Assert.Equal("0600010003", Hex(Pdu.WriteRegister(1, 3))); // 6.6, register 2 = 3
        Assert.Equal("0F0013000A02CD01", Hex(Pdu.WriteCoils(0x13, 10, 0x1CD))); // 6.11, ten coils from coil 20
        Assert.Equal("100001000204000A0102", Hex(Pdu.WriteRegisters(1, [0x000A, 0x0102]))); // 6.12
        Assert.Equal("16000400F20025", Hex(Pdu.MaskRegister(4, 0x00F2, 0x0025))); // 6.16, register 5
        // 6.17, six registers from register 4 read, three from register 15 written
        Assert.Equal(
            "1700030006000E00030600FF00FF00FF",
            Hex(Pdu.ReadAndWriteRegisters(3, 6, 14, [0x00FF, 0x00FF, 0x00FF]))
        );
    }

    [Fact]
    public void Identification_request_encodes_as_published()
    {
        Assert.Equal("2B0E0100", Hex(Pdu.ReadIdentification(1, 0))); // 6.21, basic identification
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.ReadIdentification(4, 0));
    }

    [Theory]
    [InlineData("0100130013", "010100130013 8C02", "110100130013 8E92")]
    [InlineData("0200C40016", "010200C40016 B839", "110200C40016 BAA9")]
    [InlineData("03006B0003", "0103006B0003 7417", "1103006B0003 7687")]
    [InlineData("0400080001", "010400080001 B008", "110400080001 B298")]
    [InlineData("0500ACFF00", "010500ACFF00 4C1B", "110500ACFF00 4E8B")]
    [InlineData("0600010003", "010600010003 980B", "110600010003 9A9B")]
    [InlineData("0F0013000A02CD01", "010F0013000A02CD01 72CB", "110F0013000A02CD01 BF0B")]
    [InlineData("100001000204000A0102", "01100001000204000A0102 9230", "11100001000204000A0102 C6F0")]
    [InlineData("16000400F20025", "0116000400F20025 67EE", "1116000400F20025 66E2")]
    [InlineData(
        "1700030006000E00030600FF00FF00FF",
        "011700030006000E00030600FF00FF00FF 4691",
        "111700030006000E00030600FF00FF00FF 4B54"
    )]
    public void Rtu_frames_encode_as_published(string pdu, string unit1, string unit17)
    {
        Assert.Equal(unit1.Replace(" ", "", StringComparison.Ordinal), Hex(RtuFrame.Instance.Encode(0x01, Bytes(pdu))));
        Assert.Equal(
            unit17.Replace(" ", "", StringComparison.Ordinal),
            Hex(RtuFrame.Instance.Encode(0x11, Bytes(pdu)))
        );
    }

    [Theory]
    [InlineData("0100130013", "11 01 03 CD 6B 05 40 12", "CD6B05")]
    [InlineData("0200C40016", "11 02 03 AC DB 35 20 18", "ACDB35")]
    [InlineData("03006B0003", "11 03 06 02 2B 00 00 00 64 C8 BA", "022B00000064")]
    [InlineData("0400080001", "11 04 02 00 0A F8 F4", "000A")]
    public void Published_rtu_replies_are_accepted_and_read(string pdu, string reply, string payload)
    {
        var request = Bytes(pdu);
        var transaction = ModbusRequest
            .Read(request[0], request[1] << 8 | request[2], request[3] << 8 | request[4])
            .Rent(RtuFrame.Instance, 0x11);
        var frame = Bytes(reply);
        Assert.Equal(new Examined(Verdict.Reply, frame.Length), transaction.Examine(frame));
        Assert.Equal(payload, Hex(transaction.Payload));
        for (var cut = 0; cut < frame.Length; cut++)
            Assert.Equal(Verdict.More, transaction.Examine(frame.AsSpan(0, cut)).Verdict);
    }

    [Theory]
    [InlineData("0500ACFF00", "11 05 00 AC FF 00 4E 8B")]
    [InlineData("0600010003", "11 06 00 01 00 03 9A 9B")]
    [InlineData("0F0013000A02CD01", "11 0F 00 13 00 0A 26 99")]
    [InlineData("100001000204000A0102", "11 10 00 01 00 02 12 98")]
    [InlineData("16000400F20025", "11 16 00 04 00 F2 00 25 66 E2")]
    [InlineData("1700030006000E00030600FF00FF00FF", "11 17 0C 00 FE 0A CD 00 01 00 03 00 0D 00 FF 0D 75")]
    public void Published_replies_to_writes_are_accepted(string pdu, string reply)
    {
        var transaction = ModbusRequest.Write(Bytes(pdu)).Rent(RtuFrame.Instance, 0x11);
        var frame = Bytes(reply);
        Assert.Equal(new Examined(Verdict.Reply, frame.Length), transaction.Examine(frame));
        for (var cut = 0; cut < frame.Length; cut++)
            Assert.Equal(Verdict.More, transaction.Examine(frame.AsSpan(0, cut)).Verdict);
    }

    [Fact]
    public void Published_refusal_is_accepted_and_named()
    {
        // Clause 7: reading coil 1185, which the device does not have, is refused with code 2.
        var transaction = ModbusRequest.Read(1, 0x04A1, 1).Rent(RtuFrame.Instance, 0x11);
        Assert.Equal("1101 04A1 0001 AF88".Replace(" ", "", StringComparison.Ordinal), Hex(transaction.Frame));
        Assert.Equal(Verdict.Reply, transaction.Examine(Bytes("11 81 02 C0 54")).Verdict);
        Assert.Equal(2, transaction.ExceptionCode);
    }

    [Theory]
    [InlineData("02 07", 0x1241)] // MODBUS over serial line V1.02, 6.2.2, example
    [InlineData("31 32 33 34 35 36 37 38 39", 0x4B37)] // check value of CRC-16/MODBUS in the CRC catalogues
    [InlineData("01 03 00 00 00 02", 0x0BC4)]
    [InlineData("01 03 00 00 00 0A", 0xCDC5)]
    [InlineData("11 01 00 13 00 25", 0x840E)]
    public void Check_values_are_as_published(string bytes, int crc)
    {
        Assert.Equal(crc, Crc16.Of(Bytes(bytes)));
    }

    [Fact]
    public void Tcp_frame_carries_number_protocol_length_and_unit()
    {
        // MODBUS Messaging on TCP/IP V1.0b, 3.1.3: read register 5 of unit FF as transaction 1501h.
        var frame = TcpFrame.Instance.Encode(0xFF, Pdu.Read(3, 4, 1));
        TcpFrame.Instance.Number(frame, 0x1501);
        Assert.Equal("150100000006FF0300040001", Hex(frame));
    }

    [Theory]
    [InlineData(1, 2000)]
    [InlineData(2, 2000)]
    [InlineData(3, 125)]
    [InlineData(4, 125)]
    public void Quantities_end_where_the_specification_ends_them(byte function, int most)
    {
        Assert.NotEmpty(Pdu.Read(function, 0, most));
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.Read(function, 0, most + 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.Read(function, 0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.Read(function, 65535, 2));
    }

    [Fact]
    public void Quantities_written_end_where_the_specification_ends_them()
    {
        // Clauses 6.12 and 6.17: 123 registers written, 121 of them when others are read with them.
        Assert.Equal(252, Pdu.WriteRegisters(0, new ushort[123]).Length);
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.WriteRegisters(0, new ushort[124]));
        Assert.Equal(252, Pdu.ReadAndWriteRegisters(0, 125, 0, new ushort[121]).Length);
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.ReadAndWriteRegisters(0, 125, 0, new ushort[122]));
        Assert.Throws<ArgumentOutOfRangeException>(() => Pdu.ReadAndWriteRegisters(0, 126, 0, new ushort[1]));
    }

    [Theory]
    [InlineData(1, "illegal function")]
    [InlineData(2, "illegal data address")]
    [InlineData(3, "illegal data value")]
    [InlineData(4, "server device failure")]
    [InlineData(5, "acknowledge")]
    [InlineData(6, "server device busy")]
    [InlineData(8, "memory parity error")]
    [InlineData(10, "gateway path unavailable")]
    [InlineData(11, "gateway target device failed to respond")]
    public void Exceptions_are_named_as_in_clause_7(byte code, string name)
    {
        Assert.Contains(name, ModbusExceptions.Named(code), StringComparison.Ordinal);
    }

    private static byte[] Bytes(string hex) => Convert.FromHexString(hex.Replace(" ", "", StringComparison.Ordinal));

    private static string Hex(ReadOnlySpan<byte> bytes) => Convert.ToHexString(bytes);
}
