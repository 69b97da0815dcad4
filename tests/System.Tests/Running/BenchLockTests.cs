using System.Net;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Running;

public sealed class BenchLockTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("locks");

    public void Dispose() => _folder.Delete(recursive: true);

    private static LineText Tcp(string host, int port = 1502) => new LineText.Tcp(host, port);

    private static LineText Serial(string port) => new LineText.Serial(port, 9600, SerialParity.None);

    private BenchLock Take(params LineText[] lines) => BenchLock.Take(lines, _folder.FullName);

    [Fact]
    public void Second_owner_is_told_who_has_the_line_and_since_when()
    {
        using var first = Take(Tcp("10.0.0.21", 502), Tcp("10.0.0.22", 5025));

        var refused = Assert.Throws<IOException>(() => Take(Tcp("10.0.0.22", 5025)));

        Assert.Contains("10.0.0.22:5025", refused.Message, StringComparison.Ordinal);
        if (OperatingSystem.IsLinux())
            Assert.Contains(
                $"process {Environment.ProcessId}, running since 20",
                refused.Message,
                StringComparison.Ordinal
            );
    }

    [Fact]
    public void Whoever_gets_not_every_line_keeps_none()
    {
        using var first = Take(Tcp("10.0.0.2"));
        Assert.Throws<IOException>(() => Take(Tcp("10.0.0.1"), Tcp("10.0.0.2")));

        using var third = Take(Tcp("10.0.0.1"));
        Assert.NotNull(third);
    }

    [Fact]
    public void Line_is_free_again_once_its_owner_is_gone()
    {
        Take(Tcp("10.0.0.1")).Dispose();
        using var second = Take(Tcp("10.0.0.1"));
        Assert.NotNull(second);
    }

    // RFC 1122, 3.2.1.3: every address of 127/8 is this host; RFC 4291, 2.5.3 and 2.5.5.2: ::1, and an IPv4 address as IPv6 writes it.
    [Theory]
    [InlineData("localhost")]
    [InlineData("LOCALHOST")]
    [InlineData("127.0.0.1")]
    [InlineData("127.9.8.7")]
    [InlineData("::1")]
    [InlineData("0:0:0:0:0:0:0:1")]
    [InlineData("::ffff:127.0.0.1")]
    [InlineData("2130706433")]
    [InlineData(null)]
    public void Every_spelling_of_this_machine_is_one_line(string? host)
    {
        host ??= Dns.GetHostName();
        using var first = Take(Tcp("127.0.0.1"));
        Assert.Throws<IOException>(() => Take(Tcp(host)));
        using var other = Take(Tcp(host, 1503));
        Assert.NotNull(other);
    }

    // Written with and without leading zeros, RFC 5952, 2.1.
    [Fact]
    public void Two_spellings_of_a_distant_address_are_one_line()
    {
        using var first = Take(Tcp("2001:db8::1"));
        Assert.Throws<IOException>(() => Take(Tcp("2001:0DB8:0:0:0:0:0:1")));
    }

    [Fact]
    public void Two_names_of_one_serial_device_are_one_line()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "device numbers of Linux");
        using var bench = new ServedBench("demo-four-wires.yaml");
        var port = bench.Server.Instruments.Select(i => i.Line).OfType<LineText.Serial>().First().Port;
        var terminal = File.ResolveLinkTarget(port, returnFinalTarget: true)!.FullName;
        var byId = Path.Combine(_folder.FullName, "usb-ADAPTER_A1B2-if00-port0");
        File.CreateSymbolicLink(byId, port);

        using var first = Take(Serial(terminal));
        Assert.Throws<IOException>(() => Take(Serial(byId)));
        Assert.Throws<IOException>(() => Take(Serial(port)));
    }

    [Theory]
    [InlineData("symbolic link")]
    [InlineData("link to nothing")]
    [InlineData("hard link")]
    [InlineData("folder")]
    public void What_was_planted_at_the_lock_is_refused_and_nothing_is_written_through_it(string kind)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "lock files of Linux");
        var victim = Path.Combine(_folder.FullName, "victim");
        File.WriteAllText(victim, "not to be touched");
        Take(Tcp("10.0.0.1")).Dispose();
        var path = Assert.Single(Directory.GetFiles(_folder.FullName, "*.lock"));
        File.Delete(path);
        if (kind == "folder")
            Directory.CreateDirectory(path);
        else if (kind == "hard link")
            Assert.Equal(0, link(victim, path));
        else
            File.CreateSymbolicLink(path, kind == "symbolic link" ? victim : victim + "-not-there");

        var refused = Assert.Throws<IOException>(() => Take(Tcp("10.0.0.1")));

        Assert.Contains("not followed and not written to", refused.Message, StringComparison.Ordinal);
        Assert.Equal("not to be touched", File.ReadAllText(victim));
        Assert.False(File.Exists(victim + "-not-there"));
    }

    // One process holds the bench; the program itself comes as another user, with another folder for temporary files and another spelling.
    [Fact]
    public async Task Another_user_with_another_temporary_folder_and_spelling_is_refused_and_told_who_has_it()
    {
        Assert.SkipUnless(Environment.UserName == "root", "needs two users");
        if (OperatingSystem.IsWindows())
            return;
        using var bench = new ServedBench();
        using var held = BenchLock.Take(bench.Server.Instruments.Select(i => i.Line));
        File.SetUnixFileMode(_folder.FullName, (UnixFileMode)0b111_111_111);
        var wires = Path.Combine(_folder.FullName, "wires.json");
        await File.WriteAllTextAsync(
            wires,
            bench.Wires.Replace("127.0.0.1", "localhost", StringComparison.Ordinal),
            TestContext.Current.CancellationToken
        );
        File.SetUnixFileMode(wires, (UnixFileMode)0b110_110_110);

        using var second = BuiltProgram.StartThrough(
            [
                "setpriv",
                "--reuid=nobody",
                "--regid=nogroup",
                "--clear-groups",
                "env",
                $"TMPDIR={_folder.FullName}",
                $"HOME={_folder.FullName}",
            ],
            _folder.FullName,
            "run",
            "short-check.yaml",
            "demo-300.yaml",
            "demo-modbus-tcp.yaml",
            "--operator",
            "script",
            "--date",
            "2026-11-25",
            "--wires",
            wires
        );
        var end = await second.EndAsync();

        Assert.True(end.Exit == 3, end.ToString());
        Assert.Contains($"is in use by process {Environment.ProcessId}", end.Trouble, StringComparison.Ordinal);
        Assert.Empty(bench.Passed);
    }

    [System.Runtime.InteropServices.DllImport(
        "libc",
        CharSet = System.Runtime.InteropServices.CharSet.Ansi,
        BestFitMapping = false,
        ThrowOnUnmappableChar = true
    )]
    [System.Runtime.InteropServices.DefaultDllImportSearchPaths(
        System.Runtime.InteropServices.DllImportSearchPath.SafeDirectories
    )]
    private static extern int link(string from, string to);
}
