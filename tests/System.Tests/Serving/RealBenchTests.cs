using System.Diagnostics;
using System.Text.RegularExpressions;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>A bench whose file has lines of its own and no simulated world: for the program, a real one.</summary>
/// <remarks>What answers at the far end is the simulator all the same; the program is not told.</remarks>
public sealed class RealBenchTests : IDisposable
{
    private const string AllOff = "0F00000008010000";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("real");
    private readonly ServedBench _bench = new();

    public void Dispose()
    {
        _bench.Dispose();
        _folder.Delete(recursive: true);
    }

    /// <summary>The demo bench's file without its world, its instruments where they are served.</summary>
    private string BenchFile()
    {
        var shipped = ProfileFolder.Find("demo-modbus-tcp.yaml", "benches");
        var text = Regex.Replace(
            File.ReadAllText(shipped),
            "^simulated world:.*\n",
            "",
            RegexOptions.Multiline,
            TimeSpan.FromSeconds(1)
        );
        foreach (var id in _bench.Bench.Wired.Select(i => i.Id))
        {
            text = Regex.Replace(
                text,
                $@"(- id: {id}\n(?:.*\n)*?\s+line: ).*\n",
                $"$1{{ host: 127.0.0.1, port: {_bench.Port(id)} }}\n",
                RegexOptions.None,
                TimeSpan.FromSeconds(1)
            );
        }
        Directory.CreateDirectory(Path.Combine(_folder.FullName, "benches"));
        CopyDefinitions(Path.GetDirectoryName(Path.GetDirectoryName(shipped))!);
        var path = Path.Combine(_folder.FullName, "benches", "west.yaml");
        File.WriteAllText(path, text);
        return path;
    }

    private void CopyDefinitions(string profiles)
    {
        var to = Directory.CreateDirectory(Path.Combine(_folder.FullName, "instruments")).FullName;
        foreach (var file in Directory.GetFiles(Path.Combine(profiles, "instruments")))
            File.Copy(file, Path.Combine(to, Path.GetFileName(file)));
    }

    [Theory]
    [InlineData("script", "a script answers on no other")]
    [InlineData("terminal", "a person at a terminal")]
    public async Task Nobody_but_a_person_at_a_terminal_runs_it_and_its_lines_stay_untouched(string who, string words)
    {
        var end = await BuiltProgram.RunAsync(
            _folder.FullName,
            "run",
            "short-check.yaml",
            "demo-300.yaml",
            BenchFile(),
            "--operator",
            who,
            "--name",
            "A. Person"
        );

        Assert.True(end.Exit == 3, end.ToString());
        Assert.Contains(words, end.Trouble, StringComparison.Ordinal);
        Assert.Empty(_bench.Passed);
    }

    [Fact]
    public async Task Person_at_a_terminal_is_told_that_it_is_real_and_the_first_bytes_to_the_bank_are_all_off()
    {
        Assert.SkipUnless(
            OperatingSystem.IsLinux() && File.Exists("/usr/bin/script"),
            "needs the command script(1), which gives a program a terminal"
        );
        var program = Path.Combine(AppContext.BaseDirectory, "loadtest.dll");
        var start = new ProcessStartInfo("/usr/bin/script")
        {
            WorkingDirectory = _folder.FullName,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            UseShellExecute = false,
        };
        foreach (
            var argument in new[]
            {
                "-qec",
                $"dotnet exec {program} run short-check.yaml demo-300.yaml {BenchFile()} --name A.Person --out runs",
                "/dev/null",
            }
        )
            start.ArgumentList.Add(argument);
        using var process = Process.Start(start)!;
        // One caution is acknowledged, the second is not: script(1) passes on what it reads as if typed.
        var typed = Task.Run(
            async () =>
            {
                await _bench.UntilAsync(p => p.Any(f => f.Device == "bank-1"));
                for (var k = 0; k < 100 && !process.HasExited; k++)
                {
                    await process.StandardInput.WriteAsync("n not today\n");
                    await process.StandardInput.FlushAsync(TestContext.Current.CancellationToken);
                    await Task.Delay(TimeSpan.FromMilliseconds(200), TestContext.Current.CancellationToken);
                }
            },
            TestContext.Current.CancellationToken
        );
        var output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        await typed;

        Assert.True(process.ExitCode == 3, output);
        Assert.Contains("REAL BENCH", output, StringComparison.Ordinal);
        Assert.DoesNotContain("SIMULATED BENCH", output, StringComparison.Ordinal);
        var first = _bench.Passed.First(p => p is { Device: "bank-1", IsIn: true });
        Assert.Contains(AllOff[..14], Convert.ToHexString(first.Bytes), StringComparison.Ordinal);
        var journal = Directory.GetFiles(
            Path.Combine(_folder.FullName, "runs"),
            "journal",
            SearchOption.AllDirectories
        );
        var text = System.Text.Encoding.UTF8.GetString(
            await File.ReadAllBytesAsync(Assert.Single(journal), TestContext.Current.CancellationToken)
        );
        Assert.Contains("\"simulated\":false", text, StringComparison.Ordinal);
        Assert.Matches("kept from sleeping", text);
    }

    [Fact]
    public void Without_a_tool_that_keeps_the_computer_awake_that_is_said()
    {
        using var none = SleepInhibitor.Take("no-such-tool-anywhere");
        Assert.False(none.IsHeld);
        Assert.StartsWith("The computer could not be kept from sleeping", none.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void A_tool_that_stays_holds_the_lock_until_it_is_let_go()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "only tried on Linux");
        var tool = Path.Combine(_folder.FullName, "hold");
        File.WriteAllText(tool, "#!/bin/sh\nexec cat\n");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(tool, UnixFileMode.UserRead | UnixFileMode.UserExecute);
        using var held = SleepInhibitor.Take(tool);
        Assert.True(held.IsHeld, held.Words);
    }

    // CLOCK_BOOTTIME goes on while the machine sleeps, CLOCK_MONOTONIC does not (clock_gettime(2)).
    [Fact]
    public void Clocks_agree_with_each_other_from_look_to_look()
    {
        var probe = new ClockProbe();
        var (first, second) = (probe.Look(), probe.Look());

        Assert.InRange((second.WallOffset - first.WallOffset).Duration(), TimeSpan.Zero, ClockWatch.LeastStep);
        Assert.InRange((second.Slept - first.Slept).Duration(), TimeSpan.Zero, TimeSpan.FromMilliseconds(50));
        Assert.True(first.Slept >= TimeSpan.Zero);
    }
}
