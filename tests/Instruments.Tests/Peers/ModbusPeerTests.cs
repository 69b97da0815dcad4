using System.Net;
using System.Net.Sockets;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Peers;

/// <summary>Our client against servers made with two independent libraries, on TCP and on pseudo-terminals.</summary>
[Trait("Category", "Peers")]
public sealed class ModbusPeerTests : IDisposable
{
    private const byte Unit = 17;
    private const int Registers = 200;
    private const string Python = "/usr/bin/python3";
    private static readonly TimeSpan Deadline = TimeSpan.FromSeconds(5);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("peers");
    private readonly List<IDisposable> _running = [];

    public void Dispose()
    {
        for (var k = _running.Count - 1; k >= 0; k--)
            _running[k].Dispose();
        _folder.Delete(recursive: true);
    }

    [Theory]
    [InlineData("tcp")]
    [InlineData("rtu")]
    public void Libmodbus_server_is_read_and_written(string kind) =>
        Speak(kind, pump => Libmodbus(kind, pump), hasIdentification: false);

    [Theory]
    [InlineData("tcp")]
    [InlineData("rtu-tcp")]
    [InlineData("rtu")]
    [InlineData("ascii")]
    public void Pymodbus_server_is_read_and_written(string kind) =>
        Speak(kind, pump => Pymodbus(kind, pump), hasIdentification: true);

    private void Speak(string kind, Func<Pump, ILine> connect, bool hasIdentification)
    {
        var pump = Pump.Real();
        var line = connect(pump);
        _running.Add((IDisposable)line);
        IModbusFraming framing = kind switch
        {
            "tcp" => TcpFrame.Instance,
            "ascii" => AsciiFrame.Instance,
            _ => RtuFrame.Instance,
        };
        pump.Run(async () =>
        {
            var turnAround = kind == "tcp" ? TimeSpan.Zero : TimeSpan.FromMilliseconds(5);
            var exchange = new Exchange(line, pump, framing.Rules(turnAround, Deadline));
            var client = new ModbusClient(exchange, framing, Unit, Deadline, pump);
            await ReadAndWriteAsync(client);
            await RefusalsAsync(client);
            await AtRandomAsync(client, kind is "rtu" or "ascii" ? 100 : 400);
            if (hasIdentification)
                await IdentificationAsync(client);
            var counters = exchange.Counters;
            Assert.Equal((0, 0, 0), (counters.Timeouts, counters.BadFrames, counters.Discarded));
            Assert.Equal(counters.Sent, counters.Replies);
        });
    }

    private static async Task ReadAndWriteAsync(ModbusClient client)
    {
        // Functions 15 and 1, 5 and 1.
        await WriteAsync(client, Pdu.WriteCoils(3, 10, 0x2CD));
        Assert.Equal("CD02", await ReadAsync(client, ModbusRequest.Read(1, 3, 10)));
        await WriteAsync(client, Pdu.WriteCoil(4, true));
        await WriteAsync(client, Pdu.WriteCoil(3, false));
        Assert.Equal("CE02", await ReadAsync(client, ModbusRequest.Read(1, 3, 10)));

        // Function 2: the odd ones are set.
        Assert.Equal("AA0A", await ReadAsync(client, ModbusRequest.Read(2, 10, 12)));

        // Functions 6, 16 and 3; clause 6.16's numbers for 22; 23 writes before it reads.
        await WriteAsync(client, Pdu.WriteRegister(7, 0x1234));
        await WriteAsync(client, Pdu.WriteRegisters(8, [0xFFFE, 0x0001]));
        Assert.Equal("1234FFFE0001", await ReadAsync(client, ModbusRequest.Read(3, 7, 3)));
        await WriteAsync(client, Pdu.WriteRegister(4, 0x12));
        await WriteAsync(client, Pdu.MaskRegister(4, 0xF2, 0x25));
        Assert.Equal("0017", await ReadAsync(client, ModbusRequest.Read(3, 4, 1)));
        var payload = new byte[4];
        var request = ModbusRequest.Write(Pdu.ReadAndWriteRegisters(7, 2, 8, [0xBEEF]));
        var reply = await client.WriteAsync(request, null, CancellationToken.None, payload);
        Assert.Equal(CommandOutcome.Ok, reply.Outcome);
        Assert.Equal("1234BEEF", Convert.ToHexString(payload));
    }

    private static async Task RefusalsAsync(ModbusClient client)
    {
        var beyond = await client.ReadAsync(ModbusRequest.Read(4, Registers, 1), new byte[2], CancellationToken.None);
        Assert.Equal(CommandOutcome.Failed, beyond.Outcome);
        Assert.Contains("0x02 (illegal data address)", beyond.Detail, StringComparison.Ordinal);
        var written = await client.WriteAsync(
            ModbusRequest.Write(Pdu.WriteRegister(Registers, 1)),
            null,
            CancellationToken.None
        );
        Assert.Equal(CommandOutcome.Failed, written.Outcome);
        Assert.Contains("0x02 (illegal data address)", written.Detail, StringComparison.Ordinal);
    }

    /// <summary>Input register n holds n.</summary>
    private static async Task AtRandomAsync(ModbusClient client, int times)
    {
        var chance = new Random(5);
        for (var k = 0; k < times; k++)
        {
            var count = 1 + chance.Next(125);
            var start = chance.Next(Registers - count + 1);
            var expected = string.Concat(Enumerable.Range(start, count).Select(a => $"{a:X4}"));
            Assert.Equal(expected, await ReadAsync(client, ModbusRequest.Read(4, start, count)));
        }
    }

    private static async Task IdentificationAsync(ModbusClient client)
    {
        var (reply, objects) = await DeviceIdentification.ReadAsync(
            client,
            DeviceIdentification.Basic,
            CancellationToken.None
        );
        Assert.Equal(CommandOutcome.Ok, reply.Outcome);
        Assert.Equal("Some maker|EB-8|1.2", string.Join('|', objects.Values));
    }

    private static async Task WriteAsync(ModbusClient client, byte[] pdu)
    {
        var reply = await client.WriteAsync(ModbusRequest.Write(pdu), null, CancellationToken.None);
        Assert.Equal((CommandOutcome.Ok, ""), (reply.Outcome, reply.Detail));
    }

    private static async Task<string> ReadAsync(ModbusClient client, ModbusRequest request)
    {
        var payload = new byte[request.PayloadBytes];
        var reply = await client.ReadAsync(request, payload, CancellationToken.None);
        Assert.Equal((CommandOutcome.Ok, ""), (reply.Outcome, reply.Detail));
        return Convert.ToHexString(payload);
    }

    private ILine Libmodbus(string kind, Pump pump)
    {
        if (!Peer.Has("gcc") || !Peer.Has("pkg-config"))
            Peer.Lacks("a C compiler");
        var flags = Peer.ToEnd("pkg-config", "--cflags", "--libs", "libmodbus");
        if (flags.Exit != 0)
            Peer.Lacks("libmodbus");
        var server = Path.Combine(_folder.FullName, "server");
        var source = Path.Combine(AppContext.BaseDirectory, "Peers", "libmodbus_server.c");
        string[] words = flags.Said.Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries);
        var compiled = Peer.ToEnd("gcc", ["-O1", "-Wall", "-Werror", "-o", server, source, .. words]);
        Assert.True(compiled.Exit == 0, compiled.Said);
        return Connect(kind, pump, where => _running.Add(Peer.Start(server, "ready", where)));
    }

    private ILine Pymodbus(string kind, Pump pump)
    {
        if (!File.Exists(Python) || Peer.ToEnd(Python, "-c", "import pymodbus.server, serial_asyncio").Exit != 0)
            Peer.Lacks("python3-pymodbus");
        var script = Path.Combine(AppContext.BaseDirectory, "Peers", "pymodbus_server.py");
        return Connect(kind, pump, where => _running.Add(Peer.Start(Python, "ready", [script, .. where])));
    }

    private ILine Connect(string kind, Pump pump, Action<string[]> serve)
    {
        if (kind is "tcp" or "rtu-tcp")
        {
            var port = FreePort();
            serve([kind, $"{port}"]);
            return TcpLine.Connect("peer", "127.0.0.1", port, kind != "tcp", Deadline, pump, pump.Context);
        }
        if (!Peer.Has("socat"))
            Peer.Lacks("socat");
        var (near, far) = (Path.Combine(_folder.FullName, "near"), Path.Combine(_folder.FullName, "far"));
        string[] ends = [$"pty,raw,echo=0,link={near}", $"pty,raw,echo=0,link={far}"];
        _running.Add(Peer.Start("socat", "starting data transfer", ["-d", "-d", .. ends]));
        serve([kind, far, "19200"]);
        return SerialLine.Open("peer", new LineText.Serial(near, 19200, SerialParity.Even), pump, pump.Context);
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
