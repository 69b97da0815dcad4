using System.Text.Json;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>Two processes, real sockets, real time.</summary>
public sealed class RealWireTests : IDisposable
{
    private static readonly string[] Order = ["--operator", "script", "--date", "2026-11-25", "--seed", "5", "--json"];

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("wires");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public Task Run_over_real_wires_gives_the_verdicts_of_virtual_time() =>
        GivesTheVerdictsOfVirtualTime("demo-modbus-tcp.yaml");

    /// <summary>Bank on Modbus RTU and one meter on SCPI, each on a serial line; two meters on TCP.</summary>
    [Fact]
    public Task Run_over_four_wires_of_two_kinds_at_once_gives_the_verdicts_of_virtual_time()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "serial lines are simulated on pseudo-terminals, on Linux only");
        return GivesTheVerdictsOfVirtualTime("demo-four-wires.yaml");
    }

    private async Task GivesTheVerdictsOfVirtualTime(string bench)
    {
        var quick = await BuiltProgram.RunAsync(
            _folder.FullName,
            ["run", "short-check.yaml", "demo-300.yaml", "demo.yaml", "--virtual-time", "--out", "virtual", .. Order]
        );
        var real = await OverRealWires(bench, 1);
        for (var attempt = 2; BusyMachine.Ended(real); attempt++)
        {
            Assert.True(attempt <= BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
            real = await OverRealWires(bench, attempt);
        }

        Assert.Equal(1, quick.Exit);
        Assert.Equal(Verdicts(quick), Verdicts(real));
        Assert.True(real.Document.GetProperty("simulated").GetBoolean());
        var run = real.Document.GetProperty("folder").GetString()!;
        Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "verify", run)).Exit);
    }

    private async Task<Ended> OverRealWires(string bench, int attempt)
    {
        using var simulator = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: false,
            ["simulate", bench, "--seed", "5", "--port", "0", "--json"]
        );
        var wires = $"wires-{attempt}.json";
        await File.WriteAllTextAsync(
            Path.Combine(_folder.FullName, wires),
            await simulator.LineAsync(),
            TestContext.Current.CancellationToken
        );
        var real = await BuiltProgram.RunAsync(
            _folder.FullName,
            ["run", "short-check.yaml", "demo-300.yaml", bench, "--wires", wires, .. Order]
        );
        if (!OperatingSystem.IsWindows())
        {
            simulator.Signal(15);
            Assert.Equal(0, (await simulator.EndAsync()).Exit);
        }
        return real;
    }

    [Fact]
    public async Task Wrong_secret_is_refused_before_anything_is_asked_of_the_bench()
    {
        using var bench = new ServedBench();
        var wires = Path.Combine(_folder.FullName, "wrong.json");
        await File.WriteAllTextAsync(
            wires,
            bench.Wires.Replace(bench.Server.Secret, new string('0', 32), StringComparison.Ordinal),
            TestContext.Current.CancellationToken
        );

        var end = await BuiltProgram.RunAsync(
            _folder.FullName,
            ["run", "short-check.yaml", "demo-300.yaml", "demo-modbus-tcp.yaml", "--wires", wires, .. Order]
        );

        Assert.Equal(3, end.Exit);
        Assert.Contains("not proved simulated", end.Trouble, StringComparison.Ordinal);
        Assert.DoesNotContain(bench.Passed, p => p.Device != "hands");
    }

    private static string Ending(JsonElement end) =>
        end.TryGetProperty("code", out var code) ? $"{code}: {end.GetProperty("detail")}" : "complete";

    private static string[] Verdicts(Ended end) =>
        [
            Ending(end.Document),
            .. end
                .Document.GetProperty("judged")
                .EnumerateArray()
                .Select(j => $"{j.GetProperty("name").GetString()}: {j.GetProperty("verdict").GetString()}"),
            end.Document.GetProperty("verdict").GetString()!,
            end.Document.GetProperty("bank").GetString()!,
        ];
}
