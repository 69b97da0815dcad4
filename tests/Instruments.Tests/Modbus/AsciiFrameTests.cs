using System.Text;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Modbus;

/// <summary>ASCII framing by MODBUS over serial line V1.02, 2.5.2, around the bodies of the application protocol's worked examples.</summary>
/// <remarks>The checks were computed apart from this project: the two's complement of the sum of the bytes.</remarks>
public sealed class AsciiFrameTests
{
    [Theory]
    [InlineData("0100130013", ":010100130013D8\r\n", ":010103CD6B05BE\r\n", "CD6B05")]
    [InlineData("0200C40016", ":010200C4001623\r\n", ":010203ACDB353E\r\n", "ACDB35")]
    [InlineData("03006B0003", ":0103006B00038E\r\n", ":010306022B0000006465\r\n", "022B00000064")]
    [InlineData("0400080001", ":010400080001F2\r\n", ":010402000AEF\r\n", "000A")]
    public void Reads_encode_and_their_replies_are_accepted(string pdu, string request, string reply, string payload)
    {
        var bytes = Convert.FromHexString(pdu);
        var transaction = ModbusRequest
            .Read(bytes[0], bytes[1] << 8 | bytes[2], bytes[3] << 8 | bytes[4])
            .Rent(AsciiFrame.Instance, 1);
        Assert.Equal(request, Encoding.ASCII.GetString(transaction.Frame));
        Accepted(transaction, reply);
        Assert.Equal(payload, Convert.ToHexString(transaction.Payload));
    }

    [Theory]
    [InlineData("0500ACFF00", ":010500ACFF004F\r\n", ":010500ACFF004F\r\n")]
    [InlineData("0600010003", ":010600010003F5\r\n", ":010600010003F5\r\n")]
    [InlineData("0F0013000A02CD01", ":010F0013000A02CD0103\r\n", ":010F0013000AD3\r\n")]
    [InlineData("100001000204000A0102", ":01100001000204000A0102DB\r\n", ":011000010002EC\r\n")]
    [InlineData("16000400F20025", ":0116000400F20025CE\r\n", ":0116000400F20025CE\r\n")]
    [InlineData(
        "1700030006000E00030600FF00FF00FF",
        ":011700030006000E00030600FF00FF00FFCB\r\n",
        ":01170C00FE0ACD00010003000D00FFF7\r\n"
    )]
    public void Writes_encode_and_their_replies_are_accepted(string pdu, string request, string reply)
    {
        var transaction = ModbusRequest.Write(Convert.FromHexString(pdu)).Rent(AsciiFrame.Instance, 1);
        Assert.Equal(request, Encoding.ASCII.GetString(transaction.Frame));
        Accepted(transaction, reply);
    }

    [Fact]
    public void Refusal_is_accepted_and_its_code_read()
    {
        var transaction = ModbusRequest.Read(1, 0x04A1, 1).Rent(AsciiFrame.Instance, 1);
        Assert.Equal(":010104A1000158\r\n", Encoding.ASCII.GetString(transaction.Frame)); // clause 7
        Accepted(transaction, ":0181027C\r\n");
        Assert.Equal(2, transaction.ExceptionCode);
    }

    [Theory]
    [InlineData(":010402000AEE\r\n", "Damaged")] // own header, wrong check
    [InlineData(":020402000AEE\r\n", "Stale")] // unit 2
    [InlineData(":010403000AAAEF\r\n", "Garbage")] // neither its length nor its check
    [InlineData("?010402000AEF\r\n", "Garbage")] // no colon
    [InlineData(":010402000GEF\r\n", "Garbage")] // no digit
    [InlineData(":010402000EF\r\n", "Garbage")] // half a byte
    [InlineData(":010402000AEF\n", "Garbage")] // no carriage return
    [InlineData(":\r\n", "Garbage")]
    [InlineData("\n", "Garbage")]
    public void What_is_no_reply_is_told_apart(string received, string verdict)
    {
        var transaction = ModbusRequest.Read(4, 8, 1).Rent(AsciiFrame.Instance, 1);
        var examined = transaction.Examine(Encoding.ASCII.GetBytes(received));
        Assert.Equal(verdict, examined.Verdict.ToString());
    }

    [Fact]
    public void Line_without_an_end_is_given_up_at_the_longest_frame()
    {
        var transaction = ModbusRequest.Read(4, 8, 1).Rent(AsciiFrame.Instance, 1);
        var endless = Encoding.ASCII.GetBytes(":" + new string('0', 600));
        Assert.Equal(Verdict.More, transaction.Examine(endless.AsSpan(0, AsciiFrame.MostBytes - 1)).Verdict);
        Assert.Equal(Verdict.Garbage, transaction.Examine(endless.AsSpan(0, AsciiFrame.MostBytes)).Verdict);
    }

    [Fact]
    public void Longest_reply_of_a_read_is_accepted()
    {
        var transaction = ModbusRequest.Read(4, 0, 125).Rent(AsciiFrame.Instance, 1);
        var reply = AsciiDigits.Wrapped([1, 4, 250, .. Enumerable.Range(0, 250).Select(k => (byte)k)]);
        Assert.Equal(new Examined(Verdict.Reply, reply.Length), transaction.Examine(reply));
    }

    [Fact]
    public void Exchange_over_ascii_reads_and_writes()
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(async () =>
        {
            var wire = new Wire(pump, isTcp: false, isAscii: true);
            var payload = new byte[2];
            var written = await wire.Client.WriteAsync(
                ModbusRequest.Write(Pdu.WriteRegister(3, 0xA55A)),
                null,
                CancellationToken.None
            );
            var read = await wire.Client.ReadAsync(ModbusRequest.Read(3, 3, 1), payload, CancellationToken.None);
            Assert.Equal((CommandOutcome.Ok, CommandOutcome.Ok), (written.Outcome, read.Outcome));
            Assert.Equal("A55A", Convert.ToHexString(payload));
        });
    }

    private static void Accepted(ModbusTransaction transaction, string reply)
    {
        var frame = Encoding.ASCII.GetBytes(reply);
        Assert.Equal(new Examined(Verdict.Reply, frame.Length), transaction.Examine(frame));
        for (var cut = 0; cut < frame.Length; cut++)
            Assert.Equal(Verdict.More, transaction.Examine(frame.AsSpan(0, cut)).Verdict);
    }
}
