using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using System.IO.Ports;
using System.Net;
using System.Net.Sockets;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Serving;

namespace LoadTest.Benchmarks;

/// <summary>Polls through the whole of our side of the wire, beside a bare blocking loop that exchanges the same bytes.</summary>
/// <remarks>The two take turns, five rounds; the median of the five ratios counts. The instrument answers from a table after a time of its own.</remarks>
internal static class WireSpeed
{
    private const int Rounds = 5;

    private static readonly byte[] TcpRequest = Convert.FromHexString("000100000006010400080004");
    private static readonly byte[] TcpReply = Convert.FromHexString("00000000000B010408420151EC43960000");
    private static readonly byte[] RtuRequest = ExchangeSpeed.WithCheck(Convert.FromHexString("010400080004"));
    private static readonly byte[] RtuReply = ExchangeSpeed.WithCheck(Convert.FromHexString("010408420151EC43960000"));
    private static readonly byte[] ScpiRequest = "READ?\n"u8.ToArray();
    private static readonly byte[] ScpiReply = "+3.20012345E+01\n"u8.ToArray();

    public static int Run()
    {
        Console.WriteLine("| line | instrument answers after | bare loop | ours | ratio |");
        Console.WriteLine("|---|---|---|---|---|");
        foreach (var milliseconds in new[] { 0, 1, 5 })
        {
            var after = TimeSpan.FromMilliseconds(milliseconds);
            var count = milliseconds == 0 ? 40_000 : 800 / milliseconds;
            Tcp("Modbus TCP", Protocol.ModbusTcp, TcpRequest, TcpReply, after, count);
            Tcp("SCPI on TCP", Protocol.Scpi, ScpiRequest, ScpiReply, after, count);
            if (OperatingSystem.IsLinux())
                Serial(after, milliseconds == 0 ? 400 : 200 / milliseconds + 60);
        }
        return 0;
    }

    private static void Tcp(string name, Protocol protocol, byte[] request, byte[] reply, TimeSpan after, int count)
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        new Thread(() => Serve(listener, request.Length, reply, protocol == Protocol.ModbusTcp, after))
        {
            IsBackground = true,
        }.Start();
        var port = ((IPEndPoint)listener.LocalEndpoint).Port;
        using var bare = new TcpClient("127.0.0.1", port) { NoDelay = true };
        var pump = Pump.Real();
        using var line = TcpLine.Connect(
            "line",
            "127.0.0.1",
            port,
            isHalfDuplex: false,
            TimeSpan.FromSeconds(2),
            pump,
            pump.Context
        );
        var meter = InstrumentFactory
            .Create(ExchangeSpeed.Instrument(protocol, TimeSpan.Zero, 5), null, line, pump)
            .Meter;
        var buffer = new byte[reply.Length];
        Show(
            name,
            after,
            count,
            () =>
            {
                bare.Client.Send(request);
                bare.GetStream().ReadExactly(buffer);
            },
            pump,
            meter
        );
    }

    private static void Serial(TimeSpan after, int count)
    {
        var folder = Directory.CreateTempSubdirectory("wire");
        var setting = new LineText.Serial(Path.Combine(folder.FullName, "port"), 115200, SerialParity.Even);
        PseudoTerminal? far = null;
        using (far = new PseudoTerminal(setting.Port, bytes => Answer(far!, bytes, after)))
        {
            var pump = Pump.Real();
            var buffer = new byte[RtuReply.Length];
            double[] bare = new double[Rounds + 1];
            double[] ours = new double[Rounds + 1];
            for (var round = 0; round <= Rounds; round++)
            {
                using (var port = new SerialPort(setting.Port, setting.Baud, Parity.Even) { ReadTimeout = 1000 })
                {
                    port.Open();
                    bare[round] = Rate(count, () => Exchange(port, buffer));
                }
                using var line = SerialLine.Open("line", setting, pump, pump.Context);
                var meter = InstrumentFactory
                    .Create(ExchangeSpeed.Instrument(Protocol.ModbusRtu, TimeSpan.Zero, 5), null, line, pump)
                    .Meter;
                ours[round] = Rate(pump, meter, ["volts", "amperes"], count);
            }
            Tell("Modbus RTU on a pseudo-terminal", after, bare[1..], ours[1..]);
        }
        folder.Delete(recursive: true);
    }

    private static void Exchange(SerialPort port, byte[] buffer)
    {
        port.Write(RtuRequest, 0, RtuRequest.Length);
        for (var got = 0; got < buffer.Length; )
            got += port.Read(buffer, got, buffer.Length - got);
    }

    private static void Show(string name, TimeSpan after, int count, Action exchange, Pump pump, IMeter meter)
    {
        ImmutableArray<string> inputs = name.StartsWith("SCPI", StringComparison.Ordinal)
            ? ["volts"]
            : ["volts", "amperes"];
        double[] bare = new double[Rounds + 1];
        double[] ours = new double[Rounds + 1];
        for (var round = 0; round <= Rounds; round++)
        {
            bare[round] = Rate(count, exchange);
            ours[round] = Rate(pump, meter, inputs, count);
        }
        // The first round warms both up.
        Tell(name, after, bare[1..], ours[1..]);
    }

    private static void Tell(string name, TimeSpan after, double[] bare, double[] ours)
    {
        var ratio = Median(bare.Zip(ours, (b, o) => o / b));
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"| {name} | {after.TotalMilliseconds:0} ms | {Median(bare):0}/s | {Median(ours):0}/s | {ratio:0.00} |"
            )
        );
    }

    private static double Rate(int count, Action exchange)
    {
        var start = Stopwatch.GetTimestamp();
        for (var k = 0; k < count; k++)
            exchange();
        return count / Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    private static double Rate(Pump pump, IMeter meter, ImmutableArray<string> inputs, int count) =>
        pump.Run(async () =>
        {
            var start = Stopwatch.GetTimestamp();
            var good = 0;
            for (var k = 0; k < count; k++)
            {
                if ((await meter.ReadAsync(inputs, CancellationToken.None))[0].Flag == IndicationFlag.Good)
                    good++;
            }
            if (good != count)
                throw new InvalidOperationException($"{count - good} readings were not good.");
            return good / Stopwatch.GetElapsedTime(start).TotalSeconds;
        });

    private static double Median(IEnumerable<double> values) => values.Order().ElementAt(Rounds / 2);

    private static void Serve(TcpListener listener, int requestLength, byte[] reply, bool isNumbered, TimeSpan after)
    {
        for (var clients = 0; clients < 2; clients++)
        {
            var client = listener.AcceptSocket();
            client.NoDelay = true;
            new Thread(() => Answer(client, requestLength, [.. reply], isNumbered, after))
            {
                IsBackground = true,
            }.Start();
        }
    }

    private static void Answer(Socket client, int requestLength, byte[] reply, bool isNumbered, TimeSpan after)
    {
        using var stream = new NetworkStream(client, ownsSocket: true);
        var request = new byte[requestLength];
        while (stream.ReadAtLeast(request, requestLength, throwOnEndOfStream: false) == requestLength)
        {
            if (isNumbered)
                request.AsSpan(0, 2).CopyTo(reply);
            Spend(after);
            stream.Write(reply);
        }
    }

    private static void Answer(PseudoTerminal terminal, byte[] request, TimeSpan after)
    {
        Spend(after);
        if (request.Length == RtuRequest.Length)
            terminal.Send(RtuReply);
    }

    private static void Spend(TimeSpan time)
    {
        if (time > TimeSpan.Zero)
            Thread.Sleep(time);
    }
}
