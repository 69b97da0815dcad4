using System.Net;
using System.Net.Sockets;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Line;

/// <summary>A TCP line that broke is connected again by its own thread; here against plain sockets, with a pump that never turns unless a test turns it.</summary>
public sealed class TcpReturnTests : IDisposable
{
    private static readonly TimeSpan Long = TimeSpan.FromSeconds(20);
    private static readonly byte[] AllOff = Pdu.WriteCoils(0, 8, 0);

    private readonly Pump _pump = Pump.Real();
    private TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly int _port;
    private readonly TcpLine _line;
    private readonly Exchange _exchange;
    private readonly ModbusClient _client;
    private readonly Transaction _allOff;

    public TcpReturnTests()
    {
        _listener.Start();
        _port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _line = TcpLine.Connect("bank-1", "127.0.0.1", _port, isHalfDuplex: false, Long, _pump, _pump.Context);
        _exchange = new Exchange(_line, _pump, TcpFrame.Instance.Rules(TimeSpan.Zero, Some.Deadline));
        _client = new ModbusClient(_exchange, TcpFrame.Instance, Some.Unit, Some.Deadline, _pump);
        _allOff = _client.Urgent(AllOff);
    }

    public void Dispose()
    {
        _line.Dispose();
        _listener.Dispose();
    }

    [Fact]
    public void All_off_asked_of_a_line_that_is_lost_and_refused_is_the_first_frame_once_it_is_accepted_with_the_pump_hung()
    {
        LoseAndAsk();
        var before = _allOff.Count!.Now;
        ListenAgain();

        using var second = Accept();
        Assert.Equal(AllOff, Asked(second));
        Until(() => _allOff.Count.Now - before == new AllOffCounts(1, 0, 0));
        Assert.Equal(0, _exchange.Counters.Returns);
    }

    [Fact]
    public void All_off_that_an_open_line_took_is_written_again_on_the_next_because_nobody_knows_what_became_of_it()
    {
        using var first = Accept();
        _exchange.SendUrgent(_allOff);
        Assert.Equal(AllOff, Asked(first));
        Reset(first);

        using var second = Accept();
        Assert.Equal(AllOff, Asked(second));
        Until(() => _allOff.Count!.Now == new AllOffCounts(2, 0, 0));
    }

    [Fact]
    public void Line_that_is_reset_again_and_again_is_tried_with_longer_and_longer_pauses()
    {
        using (var first = Accept())
            Reset(first);
        var pause = TcpLine.FirstPause;
        var last = _pump.GetTimestamp();
        for (var k = 0; k < 4; k++)
        {
            using (var next = Accept())
                Reset(next);
            var now = _pump.GetTimestamp();
            Assert.True(_pump.GetElapsedTime(last, now) >= pause * 0.9, $"attempt {k}");
            last = now;
            pause *= 2;
        }
    }

    [Fact]
    public void Line_that_is_closed_while_it_is_lost_connects_no_more()
    {
        using (var first = Accept())
            Reset(first);
        using (var second = Accept())
            Reset(second);

        _line.Dispose();
        while (_listener.Pending())
            Accept().Dispose();
        Assert.False(_listener.Server.Poll(TcpLine.LongestPause * 2, SelectMode.SelectRead));
    }

    [Fact]
    public async Task Nothing_else_is_sent_before_the_pump_has_heard_of_the_return_and_an_answer_is_counted_once()
    {
        var payload = new byte[2];
        LoseAndAsk();
        ListenAgain();
        using var second = Accept();
        var frame = Frame(second);
        // The pump has heard neither of the loss nor of the return: what it sends now is refused inside the gate.
        var refused = _client.ReadAsync(ModbusRequest.Read(4, 1, 1), payload, CancellationToken.None);
        Assert.True(refused.IsCompleted);
        Assert.Equal(CommandOutcome.Failed, (await refused).Outcome);
        second.Send([.. frame[..5], 6, .. frame[6..12]]);
        _pump.Run(async () =>
        {
            while (_allOff.Count!.Now.Answered == 0)
                await Task.Delay(TimeSpan.FromMilliseconds(1), _pump, CancellationToken.None);
        });
        Assert.Equal(1, _exchange.Counters.Returns);
        Assert.True(_exchange.IsStranger);
        Assert.Equal(1, _allOff.Count!.Now.Answered);
        Assert.False(second.Poll(TimeSpan.Zero, SelectMode.SelectRead));
    }

    [Fact]
    public void Peer_that_reads_nothing_has_all_off_written_and_not_answered()
    {
        using var silent = Accept();
        _exchange.SendUrgent(_allOff);
        _exchange.SendUrgent(_allOff);
        Assert.Equal(new AllOffCounts(2, 0, 0), _allOff.Count!.Now);
    }

    private Socket Accept()
    {
        Assert.True(_listener.Server.Poll(Long, SelectMode.SelectRead), "nobody connected");
        var socket = _listener.AcceptSocket();
        socket.ReceiveTimeout = (int)Long.TotalMilliseconds;
        return socket;
    }

    private static void Reset(Socket socket)
    {
        socket.LingerState = new LingerOption(enable: true, seconds: 0);
        socket.Close();
    }

    /// <summary>The connection is reset, its address refuses, and all-off is asked for until the line says that it is lost.</summary>
    private void LoseAndAsk()
    {
        using var first = Accept();
        _listener.Stop();
        Reset(first);
        while (_allOff.Count!.Now.Failed == 0)
            _exchange.SendUrgent(_allOff);
    }

    private void ListenAgain()
    {
        _listener = new TcpListener(IPAddress.Loopback, _port);
        _listener.Start();
    }

    private static void Until(Func<bool> isSo) => Assert.True(SpinWait.SpinUntil(isSo, Long), "it did not come about");

    private static byte[] Frame(Socket socket)
    {
        var frame = new byte[7 + AllOff.Length];
        for (var got = 0; got < frame.Length; )
        {
            var count = socket.Receive(frame.AsSpan(got));
            Assert.True(count > 0, "the connection ended");
            got += count;
        }
        return frame;
    }

    private static byte[] Asked(Socket socket) => Frame(socket)[7..];
}
