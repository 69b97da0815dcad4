using System.Net;
using System.Net.Sockets;
using System.Text;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;

namespace LoadTest.SystemTests.Serving;

public sealed class BenchServerTests
{
    [Fact]
    public async Task Every_instrument_of_the_bench_is_served_on_a_port_of_its_own()
    {
        using var bench = new ServedBench();
        var served = bench.Server.Instruments;

        Assert.Equal(
            ["bank-1", "dmm-1", "dmm-2", "dmm-3", "hands"],
            served.Select(i => i.Name),
            StringComparer.Ordinal
        );
        Assert.Equal(
            ["modbus-tcp", "scpi", "scpi", "scpi", "panel"],
            served.Select(i => i.Protocol),
            StringComparer.Ordinal
        );
        Assert.Equal(5, served.Select(i => i.Line).Distinct().Count());
        Assert.All(served, i => Assert.Equal("127.0.0.1", Assert.IsType<LineText.Tcp>(i.Line).Host));
        Assert.Equal(1, served[0].Unit);
        Assert.StartsWith(
            "SIMULATED BENCH,METER,SM-1002,",
            await Ask(bench, "dmm-2", "*IDN?"),
            StringComparison.Ordinal
        );
    }

    // MODBUS messaging on TCP/IP V1.0b, 3.1.3: transaction, protocol 0, length, unit; input register 0 of the bank's map is 0x4C54.
    [Fact]
    public async Task Bank_answers_a_frame_typed_from_the_protocol_text()
    {
        using var bench = new ServedBench();
        using var client = Connect(bench, "bank-1");
        client.Send([0x12, 0x34, 0, 0, 0, 6, 1, 0x04, 0, 0, 0, 1]);
        var reply = new byte[11];
        await client.GetStream().ReadExactlyAsync(reply, TestContext.Current.CancellationToken);

        Assert.Equal([0x12, 0x34, 0, 0, 0, 5, 1, 0x04, 2, 0x4C, 0x54], reply);
    }

    [Fact]
    public async Task Two_clients_of_one_meter_each_get_their_own_answers()
    {
        using var bench = new ServedBench();
        using var one = Connect(bench, "dmm-1");
        using var two = Connect(bench, "dmm-1");
        one.Send("*IDN?\n"u8);
        two.Send("SYST:VERS?\n"u8);

        Assert.StartsWith("SIMULATED BENCH", await Line(one), StringComparison.Ordinal);
        Assert.Equal("1999.0", await Line(two));
        two.Send("*IDN?\n"u8);
        one.Send("SYST:VERS?\n"u8);
        Assert.Equal("1999.0", await Line(one));
        Assert.StartsWith("SIMULATED BENCH", await Line(two), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Hands_serve_one_client_at_a_time_and_only_with_the_secret()
    {
        using var bench = new ServedBench();
        using var one = Connect(bench, "hands");
        one.Send("engine start\n"u8);
        Assert.StartsWith("no:", await Line(one), StringComparison.Ordinal);
        one.Send(Encoding.ASCII.GetBytes($"secret {bench.Server.Secret}\n"));
        Assert.Equal("ok", await Line(one));

        using var two = Connect(bench, "hands");
        Assert.StartsWith("no: another connection has the hands", await Line(two), StringComparison.Ordinal);
    }

    [Fact]
    public void Lines_that_end_in_the_simulator_are_proved()
    {
        using var bench = new ServedBench();
        Assert.Null(Proof(bench, Wires.Parse("wires", bench.Wires)));
    }

    [Fact]
    public void Line_through_something_in_between_is_not_proved()
    {
        using var bench = new ServedBench();
        var wires = Wires.Parse("wires", bench.Wires);
        using var tunnel = new Tunnel(bench.Port("bank-1"));
        var through = wires with
        {
            Instruments = wires.Instruments.ToDictionary(
                i => i.Key,
                i => i.Key == "bank-1" ? new LineText.Tcp("127.0.0.1", tunnel.Port) : i.Value,
                StringComparer.Ordinal
            ),
        };

        Assert.Contains(
            "the line of bank-1 does not end in the simulator",
            Proof(bench, through),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Address_elsewhere_is_refused_without_a_connection()
    {
        using var bench = new ServedBench();
        var wires = Wires.Parse("wires", bench.Wires);
        // 192.0.2.0/24 is kept for documentation: RFC 5737.
        var elsewhere = wires with
        {
            Instruments = wires.Instruments.ToDictionary(
                i => i.Key,
                i => (LineText)new LineText.Tcp("192.0.2.7", 502),
                StringComparer.Ordinal
            ),
        };

        var refused = Assert.Throws<IOException>(() => new WireStand(bench.Bench, elsewhere, Pump.Real()));
        Assert.Contains("192.0.2.7", refused.Message, StringComparison.Ordinal);
        Assert.Contains("on this machine", refused.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("{\"instruments\":[]}")]
    [InlineData("{\"instruments\":[{\"name\":\"hands\",\"host\":\"localhost\",\"port\":\"x\"}]}")]
    [InlineData("{\"instruments\":[{\"name\":\"hands\",\"host\":\"localhost\",\"port\":1500}]}")]
    public void File_that_is_not_what_simulate_prints_is_said_to_be_none(string text) =>
        Assert.Contains(
            "wires.json: ",
            Assert.Throws<FormatException>(() => Wires.Parse("wires.json", text)).Message,
            StringComparison.Ordinal
        );

    private static string? Proof(ServedBench bench, Wires wires)
    {
        var pump = Pump.Real();
        using var stand = new WireStand(bench.Bench, wires, pump);
        try
        {
            pump.Run(stand.ProveSimulatedAsync);
            return null;
        }
        catch (IOException objection)
        {
            return objection.Message;
        }
    }

    private static TcpClientLine Connect(ServedBench bench, string name) => new(bench.Port(name));

    private static async Task<string> Ask(ServedBench bench, string name, string words)
    {
        using var client = Connect(bench, name);
        client.Send(Encoding.ASCII.GetBytes(words + "\n"));
        return await Line(client);
    }

    private static async Task<string> Line(TcpClientLine client) => await client.LineAsync();

    /// <summary>A plain client.</summary>
    private sealed class TcpClientLine(int port) : IDisposable
    {
        private readonly TcpClient _client = new("127.0.0.1", port) { NoDelay = true };
        private StreamReader? _reader;

        public NetworkStream GetStream() => _client.GetStream();

        public void Send(ReadOnlySpan<byte> bytes) => _client.GetStream().Write(bytes);

        public async Task<string> LineAsync()
        {
            _reader ??= new StreamReader(_client.GetStream(), Encoding.ASCII);
            return await _reader.ReadLineAsync(TestContext.Current.CancellationToken) ?? "";
        }

        public void Dispose()
        {
            _reader?.Dispose();
            _client.Dispose();
        }
    }

    /// <summary>Something between two ends of a line, which passes every byte on.</summary>
    private sealed class Tunnel : IDisposable
    {
        private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
        private readonly List<TcpClient> _clients = [];

        public Tunnel(int to)
        {
            _listener.Start();
            new Thread(() => Serve(to)) { IsBackground = true }.Start();
        }

        public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

        public void Dispose()
        {
            _listener.Dispose();
            lock (_clients)
                _clients.ForEach(c => c.Dispose());
        }

        private void Serve(int to)
        {
            try
            {
                var near = _listener.AcceptTcpClient();
                var far = new TcpClient("127.0.0.1", to);
                lock (_clients)
                    _clients.AddRange([near, far]);
                new Thread(() => Pass(far, near)) { IsBackground = true }.Start();
                Pass(near, far);
            }
            catch (SocketException)
            {
                // The test is over.
            }
        }

        private static void Pass(TcpClient from, TcpClient to)
        {
            try
            {
                from.GetStream().CopyTo(to.GetStream());
            }
            catch (Exception gone) when (gone is IOException or ObjectDisposedException or InvalidOperationException)
            {
                // One end is gone.
            }
        }
    }
}
