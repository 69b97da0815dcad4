using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Line;

/// <summary>Urgent frames: from any thread, ahead of everything, never throwing.</summary>
public sealed class UrgentTests
{
    private static readonly byte[] AllOff = Pdu.WriteCoils(0, 8, 0);

    [Fact]
    public void Full_duplex_urgent_frame_leaves_at_once_beside_a_request_in_flight() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: true);
            var reading = ExchangeTests.ReadAsync(wire, 5);
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Equal(2, wire.Device.Requests.Count);
            Assert.Equal(0, pump.GetTimestamp());
            Assert.Equal(5, await reading);
            Assert.Equal(6, await ExchangeTests.ReadAsync(wire, 6));
            Assert.Equal(0, wire.Exchange.Counters.Discarded);
            Assert.Equal(1, wire.Exchange.Counters.Urgent);
        });

    [Fact]
    public void Half_duplex_urgent_frame_leaves_at_once_on_an_idle_wire() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Single(wire.Device.Requests);
            Assert.Equal(6, await ExchangeTests.ReadAsync(wire, 6));
            Assert.False(wire.Exchange.IsSuspect);
            Assert.Equal((wire.Device.Delay + Some.TurnAround).Ticks, wire.Device.Requests[1].At);
        });

    [Fact]
    public void Half_duplex_urgent_frame_is_the_next_after_the_reply_and_before_all_that_waits() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            var readings = Enumerable.Range(1, 3).Select(a => ExchangeTests.ReadAsync(wire, a)).ToArray();
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Single(wire.Device.Requests);
            Assert.Equal([1, 2, 3], await Task.WhenAll(readings));
            Assert.Equal([4, 15, 4, 4], wire.Device.Requests.Select(r => (int)r.Pdu[0]));
            Assert.Equal((wire.Device.Delay + Some.TurnAround).Ticks, wire.Device.Requests[1].At);
            Assert.False(wire.Exchange.IsSuspect);
        });

    [Fact]
    public void Half_duplex_urgent_frame_leaves_at_the_deadline_of_a_request_without_reply() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Device.Mishaps.Enqueue(Mishap.Dropped);
            var reading = ExchangeTests.ReadAsync(wire, 1);
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Null(await reading);
            Assert.Equal(2, wire.Device.Requests.Count);
            Assert.Equal(Some.Deadline.Ticks, wire.Device.Requests[1].At);
        });

    [Fact]
    public void Urgent_frame_asked_for_again_while_it_waits_leaves_once() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            var urgent = wire.Client.Urgent(AllOff);
            var reading = ExchangeTests.ReadAsync(wire, 1);
            for (var k = 0; k < 5; k++)
                wire.Exchange.SendUrgent(urgent);
            Assert.Equal(1, await reading);
            Assert.Equal(2, await ExchangeTests.ReadAsync(wire, 2));
            Assert.Equal([4, 15, 4], wire.Device.Requests.Select(r => (int)r.Pdu[0]));
        });

    // On the pump nobody waits for a wire: its time would stand still, and in virtual time for ever.
    [Fact]
    public void Urgent_frames_before_any_request_keep_nobody_waiting_on_the_pump() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Equal(1, await ExchangeTests.ReadAsync(wire, 1));
            Assert.Equal([15, 15, 4], wire.Device.Requests.Select(r => (int)r.Pdu[0]));
        });

    [Fact]
    public void Urgent_frame_on_a_lost_line_says_so_and_does_not_throw() =>
        OnPump(pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Line.Lose("the plug was pulled");
            wire.Exchange.SendUrgent(wire.Client.Urgent(AllOff));
            Assert.Contains("the plug was pulled", wire.Exchange.Counters.LastTrouble, StringComparison.Ordinal);
            return Task.CompletedTask;
        });

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Urgent_frame_asked_for_once_is_the_first_each_time_the_line_is_back(bool isTcp) =>
        OnPump(pump =>
        {
            var wire = new Wire(pump, isTcp);
            var urgent = wire.Client.Urgent(AllOff);
            wire.Line.Lose("the plug was pulled");
            wire.Exchange.SendUrgent(urgent);
            wire.Exchange.SendUrgent(urgent);
            Assert.Empty(wire.Device.Requests);
            for (var k = 1; k <= 3; k++)
            {
                wire.Line.Return();
                Assert.Equal(Enumerable.Repeat(15, k), wire.Device.Requests.Select(r => (int)r.Pdu[0]));
                wire.Line.Lose("the plug was pulled");
            }
            Assert.Equal(new AllOffCounts(3, 0, 2), urgent.Count!.Now);
            return Task.CompletedTask;
        });

    [Fact]
    public void Another_thread_writes_the_urgent_frame_itself_when_the_pump_hangs_on_a_half_duplex_wire()
    {
        var pump = Pump.Real();
        var line = new RecordingLine(isHalfDuplex: true);
        var exchange = new Exchange(line, pump, RtuFrame.Instance.Rules(Some.TurnAround, Some.Deadline));
        var client = new ModbusClient(exchange, RtuFrame.Instance, Some.Unit, Some.Deadline, pump);
        _ = client.ReadAsync(ModbusRequest.Read(4, 1, 1), new byte[2], CancellationToken.None);
        var sent = pump.GetTimestamp();
        var urgent = client.Urgent(AllOff);
        // This thread sent the request and stands for the pump; it hangs in Join until the other one is done.
        var other = new Thread(() => exchange.SendUrgent(urgent));
        other.Start();
        Assert.True(other.Join(TimeSpan.FromSeconds(20)));
        Assert.Equal(2, line.Frames.Count);
        Assert.Equal(15, line.Frames[1][1]);
        Assert.True(pump.GetElapsedTime(sent) >= Some.Deadline);
    }

    [Fact]
    public void Another_thread_writes_the_urgent_frame_at_once_on_a_full_duplex_wire()
    {
        var pump = Pump.Real();
        var line = new RecordingLine(isHalfDuplex: false);
        // A deadline of an hour: had the frame waited for it, the thread would not have ended.
        var deadline = TimeSpan.FromHours(1);
        var exchange = new Exchange(line, pump, TcpFrame.Instance.Rules(TimeSpan.Zero, deadline));
        var client = new ModbusClient(exchange, TcpFrame.Instance, Some.Unit, deadline, pump);
        _ = client.ReadAsync(ModbusRequest.Read(4, 1, 1), new byte[2], CancellationToken.None);
        var urgent = client.Urgent(AllOff);
        var other = new Thread(() => exchange.SendUrgent(urgent));
        other.Start();
        Assert.True(other.Join(TimeSpan.FromSeconds(20)));
        Assert.Equal(2, line.Frames.Count);
    }

    [Fact]
    public void Another_thread_waits_for_the_reply_and_the_pump_then_writes_its_urgent_frame_first()
    {
        var pump = Pump.Real();
        var line = new RecordingLine(isHalfDuplex: true);
        var deadline = TimeSpan.FromMinutes(10);
        var exchange = new Exchange(line, pump, RtuFrame.Instance.Rules(TimeSpan.Zero, deadline));
        var client = new ModbusClient(exchange, RtuFrame.Instance, Some.Unit, deadline, pump);
        var urgent = client.Urgent(AllOff);
        pump.Run(async () =>
        {
            var payload = new byte[2];
            var reading = client.ReadAsync(ModbusRequest.Read(4, 1, 1), payload, CancellationToken.None);
            var next = client.ReadAsync(ModbusRequest.Read(4, 2, 1), payload, CancellationToken.None);
            var other = new Thread(() => exchange.SendUrgent(urgent));
            other.Start();
            while (!exchange.HasUrgentWaiting)
                await Task.Delay(TimeSpan.FromMilliseconds(1), pump, CancellationToken.None);
            Assert.Single(line.Frames);
            line.Answer([Some.Unit, 4, 2, 0, 1], pump.GetTimestamp());
            await reading;
            Assert.True(other.Join(TimeSpan.FromSeconds(20)));
            Assert.Equal([4, 15], line.Frames.Select(f => (int)f[1]));
            line.Answer([Some.Unit, 15, 0, 0, 0, 8], pump.GetTimestamp());
            while (line.Frames.Count < 3)
                await Task.Delay(TimeSpan.FromMilliseconds(1), pump, CancellationToken.None);
            line.Answer([Some.Unit, 4, 2, 0, 2], pump.GetTimestamp());
            await next;
        });
        Assert.Equal([4, 15, 4], line.Frames.Select(f => (int)f[1]));
    }

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }

    /// <summary>A line that keeps what is sent and answers when told.</summary>
    private sealed class RecordingLine(bool isHalfDuplex) : ILine
    {
        private readonly Lock _lock = new();
        private readonly List<byte[]> _frames = [];

        public string Name => "some line";

        public bool IsHalfDuplex => isHalfDuplex;

        public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

        public Action<string>? Lost { get; set; }

        public Action<Action>? Reopened { get; set; }

        public Action? Returned { get; set; }

        public IReadOnlyList<byte[]> Frames
        {
            get
            {
                lock (_lock)
                    return [.. _frames];
            }
        }

        public void Send(ReadOnlySpan<byte> bytes)
        {
            lock (_lock)
                _frames.Add(bytes.ToArray());
        }

        public void Answer(byte[] bare, long stamp)
        {
            var crc = OwnAddressDevice.Crc(bare);
            byte[] frame = [.. bare, (byte)(crc & 0xFF), (byte)(crc >> 8)];
            Received?.Invoke(frame, stamp);
        }
    }
}
