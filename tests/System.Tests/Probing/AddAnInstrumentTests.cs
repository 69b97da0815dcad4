using System.Text.RegularExpressions;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Probing;

/// <summary>The page that shows how an instrument is added, followed step by step in an empty folder.</summary>
public sealed class AddAnInstrumentTests : IDisposable
{
    private const string Page = "docs/add-an-instrument.md";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("mine");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Whoever_follows_the_page_ends_with_a_bench_that_reads_the_new_instrument()
    {
        var shipped = Path.Combine(AppContext.BaseDirectory, "profiles");
        foreach (var kind in new[] { "instruments", "benches" })
        {
            var own = _folder.CreateSubdirectory(kind);
            foreach (var file in Directory.EnumerateFiles(Path.Combine(shipped, kind)))
                File.Copy(file, Path.Combine(own.FullName, Path.GetFileName(file)));
        }
        var examples = Examples();
        Assert.Equal(2, examples.Count);
        File.WriteAllText(Path.Combine(_folder.FullName, "instruments", "my-power-meter.yaml"), examples[0]);
        File.WriteAllText(Path.Combine(_folder.FullName, "instruments", "my-panel-meter.yaml"), examples[1]);
        var path = Path.Combine(_folder.FullName, "benches", "every-kind.yaml");
        File.WriteAllText(
            path,
            File.ReadAllText(path)
                .Replace("power-meter-three-phase-modbus-tcp.yaml", "my-power-meter.yaml", StringComparison.Ordinal)
                .Replace("panel-meter-text.yaml", "my-panel-meter.yaml", StringComparison.Ordinal)
        );
        var check = await BuiltProgram.RunAsync(_folder.FullName, "check", path, "instruments/my-power-meter.yaml");
        Assert.True(check.Exit == 0, check.ToString());

        using var bench = new ServedBench(path);
        var wires = Path.Combine(_folder.FullName, "wires.json");
        File.WriteAllText(wires, bench.Wires);
        var probe = await BuiltProgram.RunAsync(_folder.FullName, "probe", path, "--wires", wires);
        Assert.True(probe.Exit == 0, probe.ToString());
        Assert.Matches("power-1 +volts 1 +auxiliary volts +0 V", probe.Output);
        Assert.Matches("power-1 .*known value 230.25, serial number 60123", probe.Output);
        Assert.Matches("panel-1 .*01N PM-5 serial number 7007", probe.Output);
    }

    private static List<string> Examples() =>
        [
            .. Regex
                .Matches(
                    File.ReadAllText(Path.Combine(Root(), Page)),
                    "```yaml\n(?<text>format: 1\n.*?)```",
                    RegexOptions.Singleline | RegexOptions.ExplicitCapture,
                    TimeSpan.FromSeconds(5)
                )
                .Select(m => m.Groups["text"].Value),
        ];

    private static string Root()
    {
        var folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, Page)))
            folder =
                Path.GetDirectoryName(folder)
                ?? throw new InvalidOperationException($"{Page} is nowhere above {AppContext.BaseDirectory}.");
        return folder;
    }
}
