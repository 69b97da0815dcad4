using System.Diagnostics;
using System.Globalization;
using LoadTest.Sequencer.Text;

namespace LoadTest.SystemTests.CommandLine;

/// <summary>Names that lead to no sound file: every verb says so in plain lines, soon, small, and ends with 2.</summary>
public sealed class UnreadableInputTests : IDisposable
{
    private const int BadInput = 2;
    private const long MostKibibytes = 200 * 1024;
    private static readonly TimeSpan s_most = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan s_hung = TimeSpan.FromSeconds(60);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("unreadable");

    public UnreadableInputTests()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Devices and pipes of this kind are Linux's.");
        File.CreateSymbolicLink(In("link-to-device"), "/dev/zero");
        using (var made = Process.Start("mkfifo", In("pipe")))
            made.WaitForExit();
        File.CreateSymbolicLink(In("link-to-pipe"), In("pipe"));
        using (var sparse = File.Create(In("long")))
            sparse.SetLength(8L << 30);
        File.WriteAllText(In("escape"), "format: 1\nprofile: \u001B[2J gone\n");
        foreach (var name in Names)
        {
            var run = Directory.CreateDirectory(In($"run-of-{Path.GetFileName(name)}")).FullName;
            File.CreateSymbolicLink(Path.Combine(run, "journal"), Path.GetFullPath(name, _folder.FullName));
        }
    }

    private static string[] Names => ["/dev/zero", "pipe", "link-to-device", "link-to-pipe"];

    public static TheoryData<string> CommandLines =>
        [
            "check {0}",
            "plan {0} demo-300.yaml demo.yaml",
            "plan short-check.yaml {0} demo.yaml",
            "plan short-check.yaml demo-300.yaml {0}",
            "run {0} demo-300.yaml demo.yaml --operator script",
            "run short-check.yaml demo-300.yaml demo.yaml --operator script --wires {0}",
            "run short-check.yaml demo-300.yaml demo.yaml --operator script --world {0}",
            "probe {0}",
            "probe demo-modbus-tcp.yaml --wires {0}",
            "simulate {0}",
            "simulate demo.yaml --world {0}",
            "curve {0}",
        ];

    public void Dispose()
    {
        if (_folder.Exists)
            _folder.Delete(recursive: true);
    }

    // RELIABILITY of every tool that reads files: the name may lead to a device, a pipe, or a file without end.
    [Theory]
    [MemberData(nameof(CommandLines))]
    public async Task Device_pipe_and_endless_file_are_refused_soon_and_small(string commandLine)
    {
        foreach (var name in Names.Append("long").Append("escape"))
            await Refused(string.Format(CultureInfo.InvariantCulture, commandLine, name).Split(' '));
    }

    [Theory]
    [InlineData("verify")]
    [InlineData("report")]
    public async Task Run_whose_journal_is_a_device_or_a_pipe_is_refused(string verb)
    {
        foreach (var name in Names)
            await Refused(verb, $"run-of-{Path.GetFileName(name)}");
    }

    [Fact]
    public async Task What_is_put_back_into_a_journal_is_a_regular_file()
    {
        Directory.CreateDirectory(In("spare"));
        foreach (var name in Names)
            await Refused("report", "spare", "--rest", name);
    }

    /// <summary>A bench names its definitions, and a name may lead anywhere: each verb that reads a bench refuses what is no file.</summary>
    [Theory]
    [InlineData("check {0}")]
    [InlineData("plan short-check.yaml demo-300.yaml {0}")]
    [InlineData("run short-check.yaml demo-300.yaml {0} --operator script")]
    [InlineData("probe {0}")]
    [InlineData("simulate {0}")]
    public async Task Definition_of_a_bench_that_is_a_device_or_a_pipe_is_refused(string commandLine)
    {
        foreach (var name in Names)
        {
            var folder = Directory.CreateDirectory(In($"benches-of-{Path.GetFileName(name)}"));
            Directory.CreateDirectory(Path.Combine(folder.FullName, "benches"));
            Directory.CreateDirectory(Path.Combine(folder.FullName, "instruments"));
            var shipped = Path.Combine(AppContext.BaseDirectory, "profiles", "benches", "demo.yaml");
            var bench = Path.Combine(folder.FullName, "benches", "b.yaml");
            File.Copy(shipped, bench);
            foreach (
                var line in File.ReadLines(shipped).Where(l => l.Contains("definition: ", StringComparison.Ordinal))
            )
            {
                var definition = Path.Combine(folder.FullName, line.Split("definition: ")[1].Trim());
                if (!File.Exists(definition))
                    File.CreateSymbolicLink(definition, Path.GetFullPath(name, _folder.FullName));
            }
            await Refused(string.Format(CultureInfo.InvariantCulture, commandLine, bench).Split(' '));
        }
    }

    [Theory]
    [InlineData("check", "")]
    [InlineData("check", ".")]
    [InlineData("curve", "")]
    [InlineData("verify", "")]
    [InlineData("probe", "")]
    [InlineData("hunt", "--seeds", "\u0663")]
    [InlineData("hunt", "--seeds", "0")]
    [InlineData("hunt", "--seeds", "1", "--from", "18446744073709551614")]
    [InlineData("simulate", "demo.yaml", "--port", "x")]
    [InlineData("simulate", "demo.yaml", "--port", "99999999999999999999")]
    [InlineData("demo", "--seed", "-1")]
    [InlineData("probe", "demo.yaml", "--rounds", "0")]
    public async Task Argument_that_means_nothing_is_said_so(params string[] arguments) => await Refused(arguments);

    [Fact]
    public async Task Process_that_may_open_only_forty_files_says_so()
    {
        var line = $"ulimit -n 40; exec dotnet exec {Path.Combine(AppContext.BaseDirectory, "loadtest.dll")} check x";
        using var shell = Process.Start(
            new ProcessStartInfo("/bin/sh", ["-c", line]) { RedirectStandardError = true, UseShellExecute = false }
        )!;
        var trouble = await shell.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await shell.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.Equal(BadInput, shell.ExitCode);
        Assert.Contains("only 40 files open", Assert.Single(trouble.TrimEnd().Split('\n')), StringComparison.Ordinal);
    }

    [Fact]
    public async Task File_name_that_steers_a_terminal_is_shown_as_marks()
    {
        var end = await BuiltProgram.RunAsync(_folder.FullName, "check", "a\u001B[31m\u202Eb\nc");
        Assert.Equal(BadInput, end.Exit);
        Assert.Contains("a<U+001B>[31m<U+202E>b<U+000A>c", end.Trouble, StringComparison.Ordinal);
        Assert.Equal(end.ToString(), VisibleText.Of(end.ToString(), keepsLines: true));
    }

    private string In(string name) => Path.Combine(_folder.FullName, name);

    // The five seconds are of the processor: beside other tests the clock on the wall says nothing of the program. The peak is the
    // system's own mark of the most memory held, read until the process is gone.
    private async Task Refused(params string[] arguments)
    {
        var told = string.Join(' ', arguments);
        using var program = BuiltProgram.Start(_folder.FullName, readsOutput: true, arguments);
        using var process = Process.GetProcessById(program.Id);
        var (peak, used) = (0L, TimeSpan.Zero);
        var clock = Stopwatch.StartNew();
        while (!process.WaitForExit(5))
        {
            Assert.True(clock.Elapsed < s_hung, $"{told}: not ended after {clock.Elapsed}");
            peak = Math.Max(peak, PeakKibibytes(program.Id));
            used = Used(process) ?? used;
        }
        var end = await program.EndAsync();
        Assert.True(end.Exit == BadInput, $"{told}: {end}");
        Assert.True(used < s_most, $"{told}: {used.TotalSeconds} s of the processor");
        Assert.True(peak < MostKibibytes, $"{told}: {peak} KiB");
        Assert.DoesNotContain("   at ", end.ToString(), StringComparison.Ordinal);
        Assert.NotEmpty((end.Trouble + end.Output).Trim());
        Assert.Equal(end.ToString(), VisibleText.Of(end.ToString(), keepsLines: true));
    }

    private static TimeSpan? Used(Process process)
    {
        try
        {
            return process.TotalProcessorTime;
        }
        catch (Exception gone) when (gone is InvalidOperationException or System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }

    private static long PeakKibibytes(int process)
    {
        try
        {
            var line = File.ReadLines($"/proc/{process}/status")
                .FirstOrDefault(l => l.StartsWith("VmHWM:", StringComparison.Ordinal));
            return line is null ? 0 : long.Parse(line.Split(' ')[^2], CultureInfo.InvariantCulture);
        }
        catch (IOException)
        {
            return 0;
        }
    }
}
