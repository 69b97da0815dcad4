using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Journal;
using LoadTest.Simulator.Parameters;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Running;

/// <summary>A contactor found stuck is asked about at the gate of the next run on its bench, and of no later one.</summary>
public sealed class StuckContactorTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("stuck");

    public void Dispose() => _folder.Delete(recursive: true);

    // Stuck first of all; or welded while something else has removed the load already.
    [Theory]
    [InlineData("""{ "fault": "element-stuck-closed", "element": 6, "atSeconds": 20 }""", "STUCK")]
    [InlineData(
        """{ "fault": "element-stuck-closed", "element": 6, "atSeconds": 51.5 }, { "fault": "fan-failed", "atSeconds": 52 }""",
        "FAN"
    )]
    public async Task Stuck_contactor_is_cleared_by_name_at_the_next_gate_and_not_asked_about_again(
        string faults,
        string code
    )
    {
        var shipped = new StreamReader(
            typeof(WorldFile).Assembly.GetManifestResourceStream("worlds/demo.json")!
        ).ReadToEnd();
        var broken = Path.Combine(_folder.FullName, "broken.json");
        File.WriteAllText(
            broken,
            shipped.Replace("\"faults\": []", $"\"faults\": [ {faults} ]", StringComparison.Ordinal)
        );

        var stuck = await RunAsync("--world", broken);
        Assert.Contains(code, stuck.Output, StringComparison.Ordinal);
        var asked = StuckContactors.Uncleared(Store, Bench)!;
        Assert.Contains("ELEMENT 7 STILL ON", asked.Text, StringComparison.Ordinal);
        Assert.Null(StuckContactors.Uncleared(Store, "Another bench"));

        await RunAsync();
        var cleared = JournalContents.Read(Path.Combine(RunStore.Latest(Store).First(), "journal"));
        var check = Assert.Single(cleared.Entries.OfType<GateChecked>(), c => c.Check == asked.Name);
        Assert.StartsWith("in order", check.Found, StringComparison.Ordinal);
        Assert.Null(StuckContactors.Uncleared(Store, Bench));
    }

    [Fact]
    public void A_store_that_is_not_there_has_nothing_to_clear() =>
        Assert.Null(StuckContactors.Uncleared(Store, Bench));

    private const string Bench = "Demo bench, simulated";

    private string Store => Path.Combine(_folder.FullName, "runs");

    private Task<Ended> RunAsync(params string[] more) =>
        BuiltProgram.RunAsync(
            _folder.FullName,
            ["run", "short-check.yaml", "demo-300.yaml", "demo.yaml", "--operator", "script", "--virtual-time", .. more]
        );
}
