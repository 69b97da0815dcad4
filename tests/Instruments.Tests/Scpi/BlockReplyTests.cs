using System.Text;
using CsCheck;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Scpi;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Scpi;

/// <summary>IEEE 488.2, 8.7.9 and 8.7.10; the examples are those of a public parser's own tests (BSD-2, SCPI-99).</summary>
public sealed class BlockReplyTests
{
    [Theory]
    [InlineData("#11a\n", "a")]
    [InlineData("#12a\"\n", "a\"")]
    [InlineData("#13a\r\n\n", "a\r\n")]
    [InlineData("#211X1234567890\n", "X1234567890")]
    [InlineData("#204ABCD\r\n", "ABCD")]
    [InlineData("#18?ABC@ABC\n", "?ABC@ABC")]
    [InlineData("#10\n", "")]
    [InlineData(" #11a\n", "a")]
    [InlineData("#0HELLO\n", "HELLO")]
    [InlineData("#0\n", "")]
    public void Blocks_of_stated_and_open_length_are_read_wherever_they_are_cut(string reply, string data)
    {
        var bytes = Encoding.Latin1.GetBytes(reply);
        Assert.Equal(new Examined(Verdict.Reply, bytes.Length), BlockReply.Examine(bytes, out var block));
        Assert.Equal(data, Encoding.Latin1.GetString(bytes[block]));
        for (var cut = 0; cut < bytes.Length; cut++)
            Assert.Equal(Verdict.More, BlockReply.Examine(bytes.AsSpan(0, cut), out _).Verdict);
    }

    [Theory]
    [InlineData("12.5\n")] // a number where a block belongs
    [InlineData("#A1\n")]
    [InlineData("#2A1x\n")]
    [InlineData("#11ab\n")] // more than was stated
    [InlineData("#565536\n")] // more than is kept
    [InlineData("#9999999999")]
    public void What_is_no_block_is_garbage(string reply) =>
        Assert.Equal(Verdict.Garbage, BlockReply.Examine(Encoding.Latin1.GetBytes(reply), out _).Verdict);

    [Fact]
    public void Two_singles_in_a_block_are_the_published_bytes()
    {
        var bytes = Encoding.Latin1.GetBytes("#18?ABC@ABC\n");
        BlockReply.Examine(bytes, out var block);
        Assert.Equal("3F41424340414243", Convert.ToHexString(bytes[block]));
    }

    [Fact]
    public void Any_bytes_come_back_as_they_were() =>
        Gen
            .Byte.Array[0, 300]
            .Sample(data =>
            {
                var digits = $"{data.Length}";
                byte[] reply = [.. Encoding.ASCII.GetBytes($"#{digits.Length}{digits}"), .. data, (byte)'\n'];
                return BlockReply.Examine(reply, out var block) == new Examined(Verdict.Reply, reply.Length)
                    && reply[block].SequenceEqual(data);
            });

    [Fact]
    public void Session_asks_for_a_block_and_returns_its_bytes()
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(async () =>
        {
            var device = new LineDevice(pump) { Replies = { ["CURV?"] = _ => "#15a\nb\u00FFc" } };
            var line = new MemoryLine("scope", isHalfDuplex: false, pump) { ToDevice = device.Receive };
            device.Answer = line.Deliver;
            var exchange = new Exchange(line, pump, ScpiSession.Rules(TimeSpan.Zero, Some.Deadline));
            var session = new ScpiSession(exchange, Some.Deadline, pump);
            var (result, bytes) = await session.BlockAsync("CURV?", CancellationToken.None);
            Assert.Equal(CommandResult.Ok, result);
            Assert.Equal("610A62FF63", Convert.ToHexString(bytes));
        });
    }
}
