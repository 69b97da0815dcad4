using LoadTest.Records.Journaling;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Simulator.Parameters;
using LoadTest.SystemTests.Killing;

namespace LoadTest.SystemTests.Running;

/// <summary>Every write and every sync of a whole run made to fail in turn, in virtual time.</summary>
public sealed class LostStorageTests(ITestOutputHelper output)
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Failure_at_every_write_or_sync_ends_with_the_bank_off_and_everything_acknowledged_readable(
        bool failsInWrite
    )
    {
        var whole = Run(0, failsInWrite);
        Assert.Equal((Outcome.Complete, BankEnd.Off), (whole.Closed!.Outcome, whole.Closed.Bank));
        Assert.Equal(0, whole.Journal.Rest.Length);
        var (failures, energised) = (0, 0);
        for (var k = 1; k <= whole.Storage.Rounds; k++)
        {
            var run = Run(k, failsInWrite);
            Assert.True(run.Storage.HasFailed);
            failures++;
            energised += run.WasOn ? 1 : 0;
            Holds(run, k);
        }
        output.WriteLine(
            $"{failures} {(failsInWrite ? "writes" : "syncs")} failed in turn, {energised} of them with elements on"
        );
        Assert.InRange(energised, 20, failures);
    }

    private static void Holds(One run, int k)
    {
        var where = $"round {k}: {run.Closed}";
        Assert.True(run.ElementsAtEnd == 0, where);
        Assert.Equal(0, run.Storage.Later);
        var read = JournalContents.Read(new MemoryStream(run.Storage.Bytes));
        Assert.True(read.Bad is null or { Cause: BadFrameCause.Truncated }, where);
        Assert.True(read.Entries.Length > run.Journal.Acknowledged, where);
        if (run.Closed is { } closed)
        {
            Assert.Equal((Outcome.Interrupted, "DISK"), (closed.Outcome, closed.Code));
            Assert.NotEqual(BankEnd.OffNotConfirmed, closed.Bank);
            Assert.Equal(run.WasOn, closed.Bank == BankEnd.Off);
        }
        else
            // The gate cannot write: the run is over before anything could be switched on.
            Assert.False(run.WasOn, where);
        PutBackIsWhole(run, where);
    }

    // What is durable and what memory kept are the whole journal, to its last entry.
    private static void PutBackIsWhole(One run, string where)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("rest").FullName, "journal");
        File.WriteAllBytes(path, run.Storage.Bytes);
        var whole = JournalRepair.PutBack(path, run.Journal.Rest.ToArray());
        Assert.True(whole.Bad is null, where);
        Assert.Equal(run.Journal.Count, whole.Entries.Length);
        Assert.True(run.Closed is null || whole.IsClosed, where);
        Directory.Delete(Path.GetDirectoryName(path)!, recursive: true);
    }

    private static One Run(int failing, bool failsInWrite)
    {
        var files = RunFiles.Read(
            MortalProgram.Profile,
            ProfileFolder.Find("demo-300.yaml", "nameplates"),
            ProfileFolder.Find("demo.yaml", "benches")
        );
        var pump = Pump.Virtual(Start);
        using var stand = new SimulatedStand(files.Plan!.Bench, WorldFile.Demo(), pump, seed: 1);
        pump.Run(stand.ProveSimulatedAsync);
        var storage = new FailingStorage(pump, failing, failsInWrite);
        using var journal = new JournalWriter(storage, pump);
        var wasOn = false;
        var session = new RunSession(
            files,
            "disk-1",
            "WG-0417",
            IsProvedSimulated: true,
            "",
            stand.Load,
            stand.Meters,
            new ScriptedOperator(stand.Hands!, pump, "scripted operator", []),
            1L << 40
        )
        {
            Appended = _ => wasOn |= stand.Simulated.ElementsOn != 0,
        };
        RunClosed? closed = null;
        try
        {
            closed = pump.Run(() => session.RunAsync(pump, journal, CancellationToken.None));
        }
        catch (IOException trouble)
        {
            Assert.Equal(journal.Trouble, trouble.Message);
        }
        return new One(closed, storage, journal, wasOn, stand.Simulated.ElementsOn);
    }

    private sealed record One(
        RunClosed? Closed,
        FailingStorage Storage,
        JournalWriter Journal,
        bool WasOn,
        uint ElementsAtEnd
    );
}
