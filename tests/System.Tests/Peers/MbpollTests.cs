using System.Text.Json;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Peers;

/// <summary>Debian's mbpoll, made with another library, reads and writes the served bench on TCP and on a pseudo-terminal in RTU.</summary>
/// <remarks>What has to come back is the register map of the simulator's own page. mbpoll counts addresses from 0 with `-0`.</remarks>
[Trait("Category", "Peers")]
public sealed class MbpollTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("mbpoll");

    public void Dispose() => _folder.Delete(recursive: true);

    [Theory]
    [InlineData("demo-modbus-tcp.yaml")]
    [InlineData("demo-four-wires.yaml")]
    public async Task Served_bank_is_read_and_written_by_mbpoll(string bench)
    {
        Mbpoll.Demand();
        using var simulator = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: false,
            ["simulate", bench, "--seed", "5", "--port", "0", "--links", _folder.FullName, "--json"]
        );
        var where = Mbpoll.Where(JsonDocument.Parse(await simulator.LineAsync()).RootElement);

        // Input registers: identity and map revision, then the check value 1234.5 and the serial number, high word first.
        Assert.Equal("19540 1", await Mbpoll.ReadAsync(where, "-t", "3", "-r", "0", "-c", "2"));
        Assert.Equal("1234.5", await Mbpoll.ReadAsync(where, "-t", "3:float", "-B", "-r", "2", "-c", "1"));
        Assert.Equal("40217", await Mbpoll.ReadAsync(where, "-t", "3:int", "-B", "-r", "4", "-c", "1"));
        // Coils and discrete inputs: nothing is on; the stop circuit (10) is healthy.
        Assert.Equal("0 0 0 0 0 0 0 0 0", await Mbpoll.ReadAsync(where, "-t", "0", "-r", "0", "-c", "9"));
        Assert.Equal("0 0 1 0", await Mbpoll.ReadAsync(where, "-t", "1", "-r", "8", "-c", "4"));
        // Holding register 1, fan run-on: 180 s after power-up, then what is written; the fan's coil too.
        Assert.Equal("180", await Mbpoll.ReadAsync(where, "-t", "4", "-r", "1", "-c", "1"));
        await Mbpoll.RunAsync(where, ["-t", "4", "-r", "1"], ["77"]);
        Assert.Equal("77", await Mbpoll.ReadAsync(where, "-t", "4", "-r", "1", "-c", "1"));
        await Mbpoll.RunAsync(where, ["-t", "0", "-r", "8"], ["1"]);
        Assert.Equal("1", await Mbpoll.ReadAsync(where, "-t", "0", "-r", "8", "-c", "1"));
        // Beyond the tables: exception 2, in mbpoll's words.
        var (exit, said) = await Mbpoll.EndAsync(where, ["-t", "3", "-r", "500", "-c", "1"], []);
        Assert.NotEqual(0, exit);
        Assert.Contains("Illegal data address", said, StringComparison.OrdinalIgnoreCase);
    }
}
