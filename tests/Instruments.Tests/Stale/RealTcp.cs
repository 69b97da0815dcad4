using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Engine;

namespace LoadTest.InstrumentsTests.Stale;

/// <summary>The same over real sockets in real time: a server thread whose replies go astray.</summary>
internal static class RealTcp
{
    private static readonly TimeSpan Deadline = TimeSpan.FromMilliseconds(60);

    public static StaleCount Run(Wiring wiring, long exchanges, int perMille, ulong seed)
    {
        StaleCount? count = null;
        var device = new StrayDevice(wiring, Deadline, perMille, seed);
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        var server = new Thread(() => Serve(listener, device, wiring)) { IsBackground = true };
        server.Start();
        var pump = Pump.Real();
        var port = ((IPEndPoint)listener.LocalEndpoint).Port;
        using (
            var line = TcpLine.Connect(
                "stray",
                "127.0.0.1",
                port,
                wiring != Wiring.Tcp,
                TimeSpan.FromSeconds(10),
                pump,
                pump.Context
            )
        )
            pump.Run(async () =>
            {
                var instrument = StaleExchanges.Instrument(wiring, Deadline);
                var connected = InstrumentFactory.Create(instrument, null, line, pump);
                var (good, missing, wrong) = await StaleExchanges.ReadAsync(connected, exchanges, seed);
                count = StaleExchanges.Count(connected.Link, device, good, missing, wrong, missed: -1);
            });
        server.Join();
        return count! with { Asked = device.Requests };
    }

    private static void Serve(TcpListener listener, StrayDevice device, Wiring wiring)
    {
        using var socket = listener.AcceptSocket();
        socket.NoDelay = true;
        var requestBytes = wiring == Wiring.Tcp ? 12 : 8;
        var waiting = new Queue<(long Due, byte[] Bytes)>();
        var heard = new List<byte>();
        var buffer = new byte[256];
        var free = 0L;
        while (true)
        {
            var wait = waiting.TryPeek(out var next) ? next.Due - Stopwatch.GetTimestamp() : long.MaxValue;
            if (wait <= 0)
            {
                if (!TrySend(socket, waiting.Dequeue().Bytes))
                    return;
                continue;
            }
            var micros = (int)Math.Min(wait / (Stopwatch.Frequency / 1_000_000), 1_000_000);
            if (!socket.Poll(micros, SelectMode.SelectRead))
                continue;
            var count = Received(socket, buffer);
            if (count == 0)
                return;
            heard.AddRange(buffer.AsSpan(0, count));
            for (; heard.Count >= requestBytes; heard.RemoveRange(0, requestBytes))
            {
                var now = Stopwatch.GetTimestamp();
                foreach (var (after, bytes, _) in device.Answer([.. heard.Take(requestBytes)]))
                {
                    free = Math.Max(free, now + (long)(after.TotalSeconds * Stopwatch.Frequency));
                    waiting.Enqueue((free, bytes));
                }
            }
        }
    }

    private static int Received(Socket socket, byte[] buffer)
    {
        try
        {
            return socket.Receive(buffer);
        }
        catch (SocketException)
        {
            return 0;
        }
    }

    private static bool TrySend(Socket socket, byte[] bytes)
    {
        try
        {
            return socket.Send(bytes) == bytes.Length;
        }
        catch (SocketException)
        {
            return false;
        }
    }
}
