using System.Text;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Modbus;

/// <summary>Function 43 kind 14, MODBUS Application Protocol V1.1b3, 6.21; the worked examples from memory.</summary>
public sealed class DeviceIdentificationTests
{
    [Theory]
    [InlineData("rtu")]
    [InlineData("tcp")]
    [InlineData("ascii")]
    public void Published_basic_identification_is_read(string framing) =>
        OnPump(
            framing,
            async wire =>
            {
                // 6.21, all in one reply: "Company identification", "Product code XX", "V2.11". The page prints length 0D for the
                // second text, which has 15 characters; here it is 0F.
                wire.Device.Identification[0] = Reply(
                    false,
                    0,
                    (0, "Company identification"),
                    (1, "Product code XX"),
                    (2, "V2.11")
                );
                var (reply, objects) = await DeviceIdentification.ReadAsync(wire.Client, 1, CancellationToken.None);
                Assert.Equal(CommandOutcome.Ok, reply.Outcome);
                Assert.Equal("Company identification|Product code XX|V2.11", string.Join('|', objects.Values));
                Assert.Equal("2B0E0100", Convert.ToHexString(wire.Device.Requests.Single().Pdu));
            }
        );

    [Fact]
    public void Published_identification_in_two_transactions_is_read() =>
        OnPump(
            "rtu",
            async wire =>
            {
                // 6.21, second example: object 2 does not fit and is asked for by itself.
                wire.Device.Identification[0] = Reply(
                    true,
                    2,
                    (0, "Company identification"),
                    (1, "Product code XXXXXXXXXXXXXXXX")
                );
                wire.Device.Identification[2] = Reply(false, 0, (2, "V2.11"));
                var (reply, objects) = await DeviceIdentification.ReadAsync(wire.Client, 1, CancellationToken.None);
                Assert.Equal(CommandOutcome.Ok, reply.Outcome);
                Assert.Equal(3, objects.Count);
                Assert.Equal("V2.11", objects[2]);
                Assert.Equal("2B0E0102", Convert.ToHexString(wire.Device.Requests[1].Pdu));
            }
        );

    [Fact]
    public void Identification_that_goes_back_is_not_followed() =>
        OnPump(
            "tcp",
            async wire =>
            {
                wire.Device.Identification[0] = Reply(true, 1, (0, "A"));
                wire.Device.Identification[1] = Reply(true, 1, (1, "B"));
                var (reply, _) = await DeviceIdentification.ReadAsync(wire.Client, 1, CancellationToken.None);
                Assert.Equal(CommandOutcome.Failed, reply.Outcome);
                Assert.Contains("goes on at object 1", reply.Detail, StringComparison.Ordinal);
                Assert.Equal(2, wire.Device.Requests.Count);
            }
        );

    [Fact]
    public void Device_without_identification_says_so() =>
        OnPump(
            "rtu",
            async wire =>
            {
                var (reply, objects) = await DeviceIdentification.ReadAsync(wire.Client, 1, CancellationToken.None);
                Assert.Equal(CommandOutcome.Failed, reply.Outcome);
                Assert.Contains("0x01 (illegal function)", reply.Detail, StringComparison.Ordinal);
                Assert.Empty(objects);
            }
        );

    [Theory]
    [InlineData("2B", ReplyLength.Untold)]
    [InlineData("2B0E01010000", ReplyLength.Untold)]
    [InlineData("2B0E0101000000", 7)]
    [InlineData("2B0E0101000001", ReplyLength.Untold)]
    [InlineData("2B0E01010000010003", 12)]
    [InlineData("2B0E010100000100F4", 253)]
    [InlineData("2B0E010100000100F5", ReplyLength.Unknown)] // longer than a body can be
    [InlineData("2B0D", ReplyLength.Unknown)] // another kind of encapsulated interface
    public void Length_of_an_identification_is_walked_object_by_object(string body, int length)
    {
        Assert.Equal(length, ReplyLength.Of(Convert.FromHexString(body)));
    }

    private static byte[] Reply(bool hasMore, byte next, params (byte Number, string Text)[] objects) =>
        [
            1,
            hasMore ? (byte)0xFF : (byte)0,
            next,
            (byte)objects.Length,
            .. objects.SelectMany(o =>
                new byte[] { o.Number, (byte)o.Text.Length }.Concat(Encoding.ASCII.GetBytes(o.Text))
            ),
        ];

    private static void OnPump(string framing, Func<Wire, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(new Wire(pump, framing == "tcp", isAscii: framing == "ascii")));
    }
}
