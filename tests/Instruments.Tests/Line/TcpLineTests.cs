using System.Net;
using System.Net.Sockets;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Engine;

namespace LoadTest.InstrumentsTests.Line;

/// <summary>The TCP line against a plain socket on loopback.</summary>
public sealed class TcpLineTests
{
    private static readonly TimeSpan Deadline = TimeSpan.FromSeconds(5);

    [Fact]
    public void Bytes_go_out_and_come_back_stamped_on_the_pump()
    {
        using var peer = new Peer();
        var pump = Pump.Real();
        using var line = Connect(peer, pump);
        using var server = peer.Accept();
        pump.Run(async () =>
        {
            var heard = new TaskCompletionSource<(byte[] Bytes, long Stamp, bool IsOnPump)>();
            line.Received = (bytes, stamp) => heard.TrySetResult((bytes.ToArray(), stamp, pump.IsCurrent));
            line.Send([1, 2, 3]);
            var buffer = new byte[3];
            server.ReceiveTimeout = (int)Deadline.TotalMilliseconds;
            Assert.Equal(3, server.Receive(buffer));
            Assert.Equal([1, 2, 3], buffer);
            server.Send([9, 8]);
            var (got, stamp, isOnPump) = await heard.Task.WaitAsync(Deadline, pump, CancellationToken.None);
            Assert.Equal([9, 8], got);
            Assert.True(isOnPump);
            Assert.InRange(stamp, 0, pump.GetTimestamp());
        });
    }

    [Fact]
    public void Line_closed_by_the_other_side_is_lost_once_and_said()
    {
        using var peer = new Peer();
        var pump = Pump.Real();
        using var line = Connect(peer, pump);
        var server = peer.Accept();
        pump.Run(async () =>
        {
            var lost = new TaskCompletionSource<string>();
            var times = 0;
            line.Lost = reason =>
            {
                times++;
                lost.TrySetResult(reason);
            };
            server.Dispose();
            Assert.Equal(
                "the other side closed the connection",
                await lost.Task.WaitAsync(Deadline, pump, CancellationToken.None)
            );
            Assert.Throws<IOException>(() => line.Send([1]));
            await Task.Delay(TimeSpan.FromMilliseconds(20), pump, CancellationToken.None);
            Assert.Equal(1, times);
        });
    }

    [Fact]
    public void Refused_connection_says_address_and_what_to_check()
    {
        int port;
        using (var peer = new Peer())
            port = peer.Port;
        var pump = Pump.Real();
        var trouble = Assert.Throws<IOException>(() =>
            TcpLine.Connect("dmm-1", "127.0.0.1", port, false, Deadline, pump, pump.Context)
        );
        Assert.Contains(
            $"dmm-1: 127.0.0.1:{port} did not take a connection",
            trouble.Message,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Disposed_line_ends_its_reader_and_says_nothing()
    {
        using var peer = new Peer();
        var pump = Pump.Real();
        var line = Connect(peer, pump);
        using var server = peer.Accept();
        var isLost = false;
        line.Lost = _ => isLost = true;
        line.Dispose();
        line.Dispose();
        server.ReceiveTimeout = (int)Deadline.TotalMilliseconds;
        Assert.Equal(0, server.Receive(new byte[1]));
        pump.Run(() => Task.Delay(TimeSpan.FromMilliseconds(5), pump, CancellationToken.None));
        Assert.False(isLost);
    }

    [Fact]
    public void Write_into_a_stuck_peer_ends_and_loses_the_line()
    {
        using var peer = new Peer();
        var pump = Pump.Real();
        using var line = Connect(peer, pump);
        using var server = peer.Accept();
        var much = new byte[1 << 20];
        Assert.Throws<IOException>(() =>
        {
            for (var k = 0; k < 64; k++)
                line.Send(much);
        });
    }

    private static TcpLine Connect(Peer peer, Pump pump) =>
        TcpLine.Connect("line", "127.0.0.1", peer.Port, false, Deadline, pump, pump.Context);

    private sealed class Peer : IDisposable
    {
        private readonly Socket _listener = new(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp);

        public Peer()
        {
            _listener.Bind(new IPEndPoint(IPAddress.Loopback, 0));
            _listener.Listen();
        }

        public int Port => ((IPEndPoint)_listener.LocalEndPoint!).Port;

        public Socket Accept() => _listener.Accept();

        public void Dispose() => _listener.Dispose();
    }
}
