using System.Diagnostics;
using System.Text.Json;
using System.Text.RegularExpressions;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Peers;

/// <summary>Debian's mbpoll, made with another library, reads and writes the served bench on TCP and on a pseudo-terminal in RTU.</summary>
/// <remarks>What has to come back is the register map of the simulator's own page. mbpoll counts addresses from 0 with `-0`.</remarks>
[Trait("Category", "Peers")]
public sealed partial class MbpollTests : IDisposable
{
    private const string Poll = "/usr/bin/mbpoll";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("mbpoll");

    public void Dispose() => _folder.Delete(recursive: true);

    [Theory]
    [InlineData("demo-modbus-tcp.yaml")]
    [InlineData("demo-four-wires.yaml")]
    public async Task Served_bank_is_read_and_written_by_mbpoll(string bench)
    {
        if (!File.Exists(Poll))
        {
            Assert.False(
                Environment.GetEnvironmentVariable("LOADTEST_PEERS") == "demanded",
                "mbpoll is demanded here (LOADTEST_PEERS=demanded) and is not installed."
            );
            Assert.Skip("mbpoll is not installed.");
        }
        using var simulator = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: false,
            ["simulate", bench, "--seed", "5", "--port", "0", "--links", _folder.FullName, "--json"]
        );
        var where = Where(JsonDocument.Parse(await simulator.LineAsync()).RootElement);

        // Input registers: identity and map revision, then the check value 1234.5 and the serial number, high word first.
        Assert.Equal("19540 1", await ReadAsync(where, "-t", "3", "-r", "0", "-c", "2"));
        Assert.Equal("1234.5", await ReadAsync(where, "-t", "3:float", "-B", "-r", "2", "-c", "1"));
        Assert.Equal("40217", await ReadAsync(where, "-t", "3:int", "-B", "-r", "4", "-c", "1"));
        // Coils and discrete inputs: nothing is on; the stop circuit (10) is healthy.
        Assert.Equal("0 0 0 0 0 0 0 0 0", await ReadAsync(where, "-t", "0", "-r", "0", "-c", "9"));
        Assert.Equal("0 0 1 0", await ReadAsync(where, "-t", "1", "-r", "8", "-c", "4"));
        // Holding register 1, fan run-on: 180 s after power-up, then what is written; the fan's coil too.
        Assert.Equal("180", await ReadAsync(where, "-t", "4", "-r", "1", "-c", "1"));
        await RunAsync(where, ["-t", "4", "-r", "1"], ["77"]);
        Assert.Equal("77", await ReadAsync(where, "-t", "4", "-r", "1", "-c", "1"));
        await RunAsync(where, ["-t", "0", "-r", "8"], ["1"]);
        Assert.Equal("1", await ReadAsync(where, "-t", "0", "-r", "8", "-c", "1"));
        // Beyond the tables: exception 2, in mbpoll's words.
        var (exit, said) = await EndAsync(where, ["-t", "3", "-r", "500", "-c", "1"], []);
        Assert.NotEqual(0, exit);
        Assert.Contains("Illegal data address", said, StringComparison.OrdinalIgnoreCase);
    }

    private static (string[] Options, string Device) Where(JsonElement served)
    {
        var bank = served
            .GetProperty("instruments")
            .EnumerateArray()
            .First(i => i.GetProperty("name").GetString() == "bank-1");
        if (bank.TryGetProperty("port", out var port) && port.ValueKind == JsonValueKind.Number)
            return (["-m", "tcp", "-p", $"{port.GetInt32()}"], "127.0.0.1");
        return (["-m", "rtu", "-b", "19200", "-P", "even"], bank.GetProperty("serial port").GetString()!);
    }

    private static async Task<string> ReadAsync((string[] Options, string Device) where, params string[] options)
    {
        var said = await RunAsync(where, options, []);
        return string.Join(' ', Values().Matches(said).Select(m => m.Groups["value"].Value));
    }

    private static async Task<string> RunAsync((string[], string) where, string[] options, string[] values)
    {
        var (exit, said) = await EndAsync(where, options, values);
        Assert.True(exit == 0, said);
        return said;
    }

    private static async Task<(int Exit, string Said)> EndAsync(
        (string[] Options, string Device) where,
        string[] options,
        string[] values
    )
    {
        var start = new ProcessStartInfo(Poll)
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        string[] once = values.Length == 0 ? ["-1"] : [];
        foreach (
            var word in (string[])
                [.. where.Options, "-a", "1", "-0", "-o", "5", .. once, .. options, where.Device, .. values]
        )
            start.ArgumentList.Add(word);
        using var process = Process.Start(start)!;
        var trouble = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var said = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, said + await trouble);
    }

    [GeneratedRegex(@"^\[\d+\]:\s+(?<value>[-+.0-9eE]+)", RegexOptions.Multiline, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Values();
}
