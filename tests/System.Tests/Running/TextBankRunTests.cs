using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Running;

/// <summary>A whole run with the demo's bank on lines of text instead of registers.</summary>
public sealed class TextBankRunTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("text-bank");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Bank_on_lines_of_text_runs_a_profile_to_the_verdicts_of_the_bank_on_registers()
    {
        var shipped = Path.Combine(AppContext.BaseDirectory, "profiles");
        var own = _folder.CreateSubdirectory("instruments");
        foreach (var file in Directory.EnumerateFiles(Path.Combine(shipped, "instruments")))
            File.Copy(file, Path.Combine(own.FullName, Path.GetFileName(file)));
        var bench = Path.Combine(_folder.CreateSubdirectory("benches").FullName, "demo-text.yaml");
        var text = File.ReadAllText(Path.Combine(shipped, "benches", "demo.yaml"))
            .Replace("element-bank-modbus-rtu.yaml", "element-bank-text.yaml", StringComparison.Ordinal);
        File.WriteAllText(bench, text);

        var byLines = await RunAsync(bench);
        var byRegisters = await RunAsync("demo.yaml");

        Assert.True(byLines.Exit == byRegisters.Exit, byLines.ToString());
        Assert.Equal(Verdicts(byRegisters), Verdicts(byLines));
        Assert.DoesNotContain("no communication watchdog", byLines.Output, StringComparison.Ordinal);
        Assert.Contains("complete after", byLines.Output, StringComparison.Ordinal);
    }

    private Task<Ended> RunAsync(string bench) =>
        BuiltProgram.RunAsync(
            _folder.FullName,
            "run",
            "short-check.yaml",
            "demo-300.yaml",
            bench,
            "--operator",
            "script",
            "--virtual-time"
        );

    // The last words of the lines of verdicts, with what they are about.
    private static string Verdicts(Ended ended) =>
        string.Join(
            '\n',
            ended
                .Output.Split('\n')
                .Where(l =>
                    l.EndsWith(" pass", StringComparison.Ordinal) || l.EndsWith(" fail", StringComparison.Ordinal)
                )
                .Select(l => $"{l.Trim()[..14]} {l[^4..]}")
        );
}
