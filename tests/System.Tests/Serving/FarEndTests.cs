using System.Diagnostics;
using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using System.Runtime.Versioning;
using System.Text;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>Who has the other end of a line, and a proof forged by a program that knows the secret.</summary>
[SupportedOSPlatform("linux")]
public sealed class FarEndTests : IDisposable
{
    private const string Secret = "0123456789abcdef0123456789abcdef";

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("far");

    public FarEndTests() => Assert.SkipUnless(OperatingSystem.IsLinux(), "proc(5) of Linux");

    public void Dispose() => _folder.Delete(recursive: true);

    [Theory]
    [InlineData("127.0.0.1")]
    [InlineData("::1")]
    public void Process_that_listens_is_found_for_both_families(string address)
    {
        using var listener = new TcpListener(IPAddress.Parse(address), 0);
        listener.Start();
        var port = ((IPEndPoint)listener.LocalEndpoint).Port;
        using var client = new TcpClient(address, port);
        using var accepted = listener.AcceptTcpClient();
        Assert.Equal(Environment.ProcessId, FarEnd.OfConnection((IPEndPoint)client.Client.LocalEndPoint!, port));
    }

    [Fact]
    public void Process_that_has_the_master_of_a_terminal_is_found()
    {
        using var bench = new ServedBench("demo-four-wires.yaml");
        var port = bench.Server.Instruments.Select(i => i.Line).OfType<LineText.Serial>().First().Port;
        Assert.Equal(Environment.ProcessId, FarEnd.OfTerminal(port));
    }

    [Fact]
    public void Another_program_is_told_from_this_one()
    {
        using var other = Process.Start("sleep", "60");
        Assert.True(FarEnd.IsThisProgram(Environment.ProcessId));
        Assert.False(FarEnd.IsThisProgram(other.Id));
        other.Kill();
    }

    // The forger knows the secret and names our end of every line, as a tunnel to a real bench could; its lines end elsewhere.
    [Fact]
    public async Task Proof_with_the_right_secret_is_refused_where_the_lines_end_in_another_process_than_the_hands()
    {
        using var simulator = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: false,
            "simulate",
            "demo-modbus-tcp.yaml",
            "--port",
            "0",
            "--json"
        );
        var served = Wires.Parse("wires", await simulator.LineAsync());
        var ports = served.Instruments.ToDictionary(
            i => i.Key,
            i => ((LineText.Tcp)i.Value).Port,
            StringComparer.Ordinal
        );
        using var hands = new TcpListener(IPAddress.Loopback, 0);
        hands.Start();
        var forger = new Thread(() => Forge(hands, ports)) { IsBackground = true };
        forger.Start();
        var wires = served with
        {
            Hands = new DnsEndPoint("127.0.0.1", ((IPEndPoint)hands.LocalEndpoint).Port),
            Secret = Secret,
        };
        var files = RunFiles.Read(
            Killing.MortalProgram.Profile,
            ProfileFolder.Find("demo-300.yaml", "nameplates"),
            ProfileFolder.Find("demo-modbus-tcp.yaml", "benches")
        );
        var pump = Pump.Real();
        using var stand = new WireStand(files.Plan!.Bench, wires, pump);

        var refused = Assert.Throws<IOException>(() => pump.Run(stand.ProveSimulatedAsync));

        Assert.Contains("ends in another process than that of", refused.Message, StringComparison.Ordinal);
    }

    private static void Forge(TcpListener hands, Dictionary<string, int> ports)
    {
        using var client = hands.AcceptTcpClient();
        using var reader = new StreamReader(client.GetStream());
        while (reader.ReadLine() is { } line)
        {
            var nonce = line["prove ".Length..].Trim();
            var open = IPGlobalProperties.GetIPGlobalProperties().GetActiveTcpConnections();
            var ends = ports.Select(p =>
                $"{p.Key}={string.Join(',', open.Where(c => c.RemoteEndPoint.Port == p.Value).Select(c => c.LocalEndPoint))}"
            );
            client.GetStream().Write(Encoding.ASCII.GetBytes(StartProof.Answer(Secret, nonce, ends) + "\n"));
        }
    }
}
