namespace LoadTest.SystemTests.CommandLine;

/// <summary>A person at the terminal, on the embedded bench in virtual time, where the pump waits for each line.</summary>
public sealed class TerminalTests : IDisposable
{
    private static readonly string[] Order =
    [
        "run",
        "short-check.yaml",
        "demo-300.yaml",
        "demo.yaml",
        "--virtual-time",
        "--date",
        "2026-11-25",
        "--name",
        "A. Person",
        "--json",
    ];

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("terminal");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Person_who_says_yes_to_everything_completes_the_run()
    {
        var end = await BuiltProgram.RunWithInputAsync(_folder.FullName, Enumerable.Repeat("y", 200), Order);

        // The invented unit comes with a shunt that reads low: found, so the run is completed with a fail.
        Assert.True(end.Exit == 1, end.ToString());
        Assert.Equal("complete", end.Document.GetProperty("outcome").GetString());
        Assert.Contains("\"who\":\"A. Person\"", Journal(end), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Caution_not_acknowledged_is_a_refusal()
    {
        var end = await BuiltProgram.RunWithInputAsync(_folder.FullName, ["what?", "n not today"], Order);

        Assert.True(end.Exit == 3, end.ToString());
        Assert.Equal("CAUTION", end.Document.GetProperty("code").GetString());
        Assert.Equal("never energised", end.Document.GetProperty("bank").GetString());
    }

    [Fact]
    public async Task Stop_typed_in_mid_run_ends_it_with_the_bank_off()
    {
        // 20 cautions, inspections, engine, output, mode, setting: well into the run, then stop, then the engine is stopped.
        var end = await BuiltProgram.RunWithInputAsync(
            _folder.FullName,
            [.. Enumerable.Repeat("y", 30), "stop", "y", "y", "y"],
            Order
        );

        Assert.True(end.Exit == 4, end.ToString());
        Assert.Equal("STOP", end.Document.GetProperty("code").GetString());
        Assert.Equal("off", end.Document.GetProperty("bank").GetString());
    }

    [Fact]
    public async Task Terminal_that_goes_away_ends_the_run_with_nothing_energised()
    {
        var end = await BuiltProgram.RunWithInputAsync(_folder.FullName, Enumerable.Repeat("y", 5), Order);

        Assert.True(end.Exit == 4, end.ToString());
        Assert.Equal("interrupted", end.Document.GetProperty("outcome").GetString());
        Assert.Equal("never energised", end.Document.GetProperty("bank").GetString());
    }

    private string Journal(Ended end) =>
        System.Text.Encoding.UTF8.GetString(
            File.ReadAllBytes(Path.Combine(_folder.FullName, end.Document.GetProperty("journal").GetString()!))
        );
}
