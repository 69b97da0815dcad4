using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Line;

public sealed class ExchangeTests
{
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Value_read_is_that_of_the_register_asked(bool isTcp) =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp);
            for (var address = 0; address < 50; address++)
                Assert.Equal(address, await ReadAsync(wire, address));
            Assert.Equal(50, wire.Exchange.Counters.Replies);
            Assert.Equal(0, wire.Exchange.Counters.Discarded);
        });

    [Fact]
    public void Requests_asked_together_are_sent_one_after_the_other() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            var values = await Task.WhenAll(Enumerable.Range(0, 10).Select(a => ReadAsync(wire, a)));
            Assert.Equal(Enumerable.Range(0, 10).Select(a => (int?)a), values);
            var times = wire.Device.Requests.Select(r => r.At).ToArray();
            Assert.Equal(times.Distinct(), times);
        });

    [Fact]
    public void Rtu_request_keeps_the_turn_around_silence_after_the_last_byte() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            await ReadAsync(wire, 1);
            var end = pump.GetTimestamp();
            await ReadAsync(wire, 2);
            Assert.Equal(Some.TurnAround.Ticks, wire.Device.Requests[1].At - end);
        });

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Reply_that_never_comes_ends_at_the_deadline(bool isTcp) =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp);
            wire.Device.Mishaps.Enqueue(Mishap.Dropped);
            var request = ModbusRequest.Read(4, 7, 1);
            var reply = await wire.Client.ReadAsync(request, new byte[2], CancellationToken.None);
            Assert.Equal(CommandOutcome.Unknown, reply.Outcome);
            Assert.Equal(Some.Deadline.Ticks, pump.GetTimestamp());
            Assert.Equal(Some.Deadline.Ticks, reply.Timestamp);
            Assert.Contains("reading input register 7 within 200 ms", reply.Detail, StringComparison.Ordinal);
            Assert.Equal(1, wire.Exchange.Counters.Timeouts);
        });

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Dripping_reply_ends_at_the_whole_frames_deadline(bool isTcp) =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp);
            wire.Device.Mishaps.Enqueue(Mishap.Drip(0.8 * Some.Deadline));
            Assert.Null(await ReadAsync(wire, 3));
            Assert.Equal(Some.Deadline.Ticks, pump.GetTimestamp());
        });

    [Fact]
    public void Late_rtu_reply_is_thrown_away_and_the_next_request_waits_for_it() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Device.Mishaps.Enqueue(Mishap.Late(Some.Deadline + TimeSpan.FromMilliseconds(100)));
            Assert.Null(await ReadAsync(wire, 3));
            Assert.Equal(4, await ReadAsync(wire, 4));
            Assert.Equal(1, wire.Exchange.Counters.Discarded);
            Assert.False(wire.Exchange.IsSuspect);
            Assert.InRange(
                wire.Device.Requests[1].At,
                (Some.Deadline + TimeSpan.FromMilliseconds(100)).Ticks,
                long.MaxValue
            );
        });

    [Fact]
    public void Lost_rtu_reply_lets_only_a_question_of_known_answer_leave_and_one_deadline_later() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Device.Mishaps.Enqueue(Mishap.Dropped);
            Assert.Null(await ReadAsync(wire, 3));
            Assert.True(wire.Exchange.IsSuspect);
            Assert.Null(await ReadAsync(wire, 4));
            Assert.Single(wire.Device.Requests);
            Assert.Equal(2 * Some.Deadline.Ticks, pump.GetTimestamp());
            var probe = ModbusRequest.Read(4, 500, 1, mayLeaveInDoubt: true);
            var known = await wire.Client.ReadAsync(probe, new byte[2], CancellationToken.None);
            Assert.Equal(CommandOutcome.Ok, known.Outcome);
            wire.Exchange.Trust();
            Assert.Equal(5, await ReadAsync(wire, 5));
        });

    [Fact]
    public void Late_tcp_reply_is_told_by_its_number_while_the_next_is_awaited() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            wire.Device.Mishaps.Enqueue(Mishap.Late(Some.Deadline + TimeSpan.FromMilliseconds(2)));
            Assert.Null(await ReadAsync(wire, 3));
            Assert.Equal(4, await ReadAsync(wire, 4));
            Assert.Equal(Some.Deadline.Ticks, wire.Device.Requests[1].At);
            Assert.Equal(1, wire.Exchange.Counters.Discarded);
        });

    [Fact]
    public void Damaged_read_is_repeated_once_and_no_more() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Device.Mishaps.Enqueue(Mishap.Flipped(8 * 4));
            Assert.Equal(9, await ReadAsync(wire, 9));
            Assert.Equal(2, wire.Device.Requests.Count);
            wire.Device.Mishaps.Enqueue(Mishap.Flipped(8 * 4));
            wire.Device.Mishaps.Enqueue(Mishap.Flipped(8 * 4));
            Assert.Null(await ReadAsync(wire, 9));
            Assert.Equal(4, wire.Device.Requests.Count);
            Assert.Equal(3, wire.Exchange.Counters.BadFrames);
        });

    [Fact]
    public void Write_is_never_repeated() =>
        OnPump(async pump =>
        {
            foreach (var mishap in new[] { Mishap.Dropped, Mishap.Flipped(8 * 3), Mishap.Cut(5) })
            {
                var wire = new Wire(pump, isTcp: false);
                wire.Device.Mishaps.Enqueue(mishap);
                var reply = await wire.Client.WriteAsync(
                    ModbusRequest.Write(Pdu.WriteCoil(3, true)),
                    null,
                    CancellationToken.None
                );
                await Task.Delay(TimeSpan.FromSeconds(5), pump, CancellationToken.None);
                Assert.Equal(CommandOutcome.Unknown, reply.Outcome);
                Assert.Single(wire.Device.Requests);
            }
        });

    [Fact]
    public void Busy_read_is_asked_again_until_the_deadline() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            wire.Device.Exceptions.Enqueue(6);
            wire.Device.Exceptions.Enqueue(5);
            Assert.Equal(9, await ReadAsync(wire, 9));
            Assert.Equal(3, wire.Device.Requests.Count);

            var start = pump.GetTimestamp();
            for (var k = 0; k < 1000; k++)
                wire.Device.Exceptions.Enqueue(6);
            var reply = await wire.Client.ReadAsync(ModbusRequest.Read(4, 9, 1), new byte[2], CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, reply.Outcome);
            Assert.Contains("exception 0x06 (server device busy)", reply.Detail, StringComparison.Ordinal);
            Assert.InRange(pump.GetTimestamp() - start, 1, Some.Deadline.Ticks);
        });

    [Fact]
    public void Busy_write_fails_and_acknowledged_write_is_unknown_and_neither_is_repeated() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            wire.Device.Exceptions.Enqueue(6);
            wire.Device.Exceptions.Enqueue(5);
            var write = ModbusRequest.Write(Pdu.WriteCoil(3, true));
            var busy = await wire.Client.WriteAsync(write, null, CancellationToken.None);
            var acknowledged = await wire.Client.WriteAsync(write, null, CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, busy.Outcome);
            Assert.Equal(CommandOutcome.Unknown, acknowledged.Outcome);
            Assert.Equal(2, wire.Device.Requests.Count);
        });

    [Fact]
    public void Endless_noise_ends_every_request_in_time_and_sends_none_into_it() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            using var noise = pump.CreateTimer(
                _ => wire.Line.Deliver(new byte[] { 0x55 }),
                null,
                TimeSpan.Zero,
                TimeSpan.FromMilliseconds(2)
            );
            await Task.Delay(TimeSpan.FromMilliseconds(20), pump, CancellationToken.None);
            for (var k = 0; k < 5; k++)
            {
                var start = pump.GetTimestamp();
                Assert.Null(await ReadAsync(wire, k));
                Assert.InRange(pump.GetTimestamp() - start, 1, 2 * Some.Deadline.Ticks);
            }
            Assert.Empty(wire.Device.Requests);
        });

    [Fact]
    public void Giving_up_leaves_the_wire_busy_until_the_reply_is_in() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            using var cancel = new CancellationTokenSource(TimeSpan.FromMilliseconds(2), pump);
            var reply = await wire.Client.ReadAsync(ModbusRequest.Read(4, 3, 1), new byte[2], cancel.Token);
            Assert.Equal(CommandOutcome.Unknown, reply.Outcome);
            Assert.Equal(TimeSpan.FromMilliseconds(2).Ticks, pump.GetTimestamp());
            Assert.Equal(4, await ReadAsync(wire, 4));
            Assert.Equal((wire.Device.Delay + Some.TurnAround).Ticks, wire.Device.Requests[1].At);
        });

    [Fact]
    public void Lost_line_ends_what_waits_and_refuses_what_follows() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            var flying = wire.Client.WriteAsync(
                ModbusRequest.Write(Pdu.WriteCoil(3, true)),
                null,
                CancellationToken.None
            );
            var waiting = wire.Client.WriteAsync(
                ModbusRequest.Write(Pdu.WriteCoil(4, true)),
                null,
                CancellationToken.None
            );
            wire.Line.Lose("the plug was pulled");
            Assert.Equal(CommandOutcome.Unknown, (await flying).Outcome);
            Assert.Equal(CommandOutcome.Failed, (await waiting).Outcome);
            var after = await wire.Client.WriteAsync(
                ModbusRequest.Write(Pdu.WriteCoil(5, true)),
                null,
                CancellationToken.None
            );
            Assert.Equal(CommandOutcome.Failed, after.Outcome);
            Assert.Contains("the plug was pulled", after.Detail, StringComparison.Ordinal);
        });

    internal static async Task<int?> ReadAsync(Wire wire, int address)
    {
        var payload = new byte[2];
        var reply = await wire.Client.ReadAsync(ModbusRequest.Read(4, address, 1), payload, CancellationToken.None);
        return reply.Outcome == CommandOutcome.Ok ? payload[0] << 8 | payload[1] : null;
    }

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }
}
