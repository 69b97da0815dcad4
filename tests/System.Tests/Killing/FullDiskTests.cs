using System.Diagnostics;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Killing;

/// <summary>A disk that really is full: a small file system in memory, filled while the load is on.</summary>
public sealed class FullDiskTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("full");
    private bool _isMounted;

    private string Disk => Path.Combine(_folder.FullName, "disk");

    public void Dispose()
    {
        if (_isMounted)
            Do("umount", Disk);
        _folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Disk_that_fills_up_under_load_ends_the_run_with_the_bank_off_and_the_rest_can_be_put_back()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "the small disk is a tmpfs");
        Directory.CreateDirectory(Disk);
        _isMounted = Do("mount", "-t", "tmpfs", "-o", "size=264m", "tmpfs", Disk);
        Assert.SkipUnless(_isMounted, "mounting the small disk needs root");
        for (var attempt = 1; !await IsEndedByFullDisk($"{attempt}"); attempt++)
            Assert.True(attempt < 2 * BusyMachine.MostAttempts, "the machine was too busy for a run in real time");
    }

    private async Task<bool> IsEndedByFullDisk(string name)
    {
        using var bench = new ServedBench();
        var wires = Path.Combine(_folder.FullName, name + ".json");
        await File.WriteAllTextAsync(wires, bench.Wires, TestContext.Current.CancellationToken);
        var store = Path.Combine(Disk, name);
        using var run = BuiltProgram.Start(
            _folder.FullName,
            readsOutput: true,
            "run",
            MortalProgram.Profile,
            "demo-300.yaml",
            "demo-modbus-tcp.yaml",
            "--operator",
            "script",
            "--date",
            "2026-11-25",
            "--wires",
            wires,
            "--out",
            store
        );
        var ended = run.EndAsync();
        await Task.WhenAny(bench.Loaded, ended);
        var filler = Path.Combine(Disk, "filler");
        Fill(filler);
        var end = await ended;
        File.Delete(filler);
        if (!end.Trouble.Contains("DISK", StringComparison.Ordinal))
        {
            TestContext.Current.TestOutputHelper?.WriteLine($"before the disk was full: {end}");
            return false;
        }

        Assert.Equal(5, end.Exit);
        Assert.Equal(0u, await bench.AskAsync(s => s.Simulated.ElementsOn));
        Assert.Contains("ALL-OFF WRITTEN (DISK)", end.Output, StringComparison.Ordinal);
        Assert.Contains("INTERRUPTED(DISK)", end.Trouble, StringComparison.Ordinal);
        Assert.Contains("No space left", end.Trouble, StringComparison.Ordinal);
        await IsPutBack(Assert.Single(Directory.GetDirectories(store)), end.Trouble);
        return true;
    }

    private async Task IsPutBack(string run, string trouble)
    {
        var words = trouble.Split(' ');
        var rest = words[Array.IndexOf(words, "--rest") + 1].TrimEnd('`');
        var before = JournalContents.Read(Path.Combine(run, "journal"));
        Assert.False(before.IsClosed);
        var report = await BuiltProgram.RunAsync(_folder.FullName, "report", run, "--rest", rest);
        File.Delete(rest);

        Assert.Equal(5, report.Exit);
        var after = JournalContents.Read(Path.Combine(run, "journal"));
        Assert.Null(after.Bad);
        Assert.Equal(
            (Outcome.Interrupted, "DISK"),
            (((RunClosed)after.Entries[^1]).Outcome, ((RunClosed)after.Entries[^1]).Code)
        );
        Assert.Equal(before.Entries.Length, after.Entries.TakeWhile((e, k) => k < before.Entries.Length).Count());
        Assert.Contains(after.Entries, e => e is LoadOff { IsConfirmed: true });
        Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "verify", run)).Exit);
    }

    private static void Fill(string path)
    {
        using var file = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        for (var length = 1 << 20; length > 0; )
        {
            try
            {
                file.Write(new byte[length]);
            }
            catch (IOException)
            {
                length /= 2;
            }
        }
    }

    private static bool Do(string command, params string[] arguments)
    {
        try
        {
            using var process = Process.Start(
                new ProcessStartInfo(command, arguments)
                {
                    UseShellExecute = false,
                    RedirectStandardError = true,
                    RedirectStandardOutput = true,
                }
            )!;
            process.WaitForExit();
            return process.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }
}
