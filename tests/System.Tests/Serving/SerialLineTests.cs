using LoadTest.Benchmarks;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;

namespace LoadTest.SystemTests.Serving;

/// <summary>The serial line of the product on pseudo-terminals of the system.</summary>
public sealed class SerialLineTests : IDisposable
{
    private static readonly TimeSpan Soon = TimeSpan.FromSeconds(5);
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("serial");

    private LineText.Serial Setting => new(Path.Combine(_folder.FullName, "port"), 19200, SerialParity.Even);

    public SerialLineTests() =>
        Assert.SkipUnless(OperatingSystem.IsLinux(), "serial lines are tried on pseudo-terminals, on Linux only");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Every_byte_value_passes_both_ways_unchanged()
    {
        var all = Enumerable.Range(0, 256).Select(b => (byte)b).ToArray();
        var pump = Pump.Real();
        PseudoTerminal? terminal = null;
        using var made = terminal = new PseudoTerminal(Setting.Port, bytes => terminal!.Send(bytes));
        using var line = SerialLine.Open("line", Setting, pump, pump.Context);
        var back = new List<byte>();
        var whole = new TaskCompletionSource();
        line.Received = (bytes, _) =>
        {
            back.AddRange(bytes.Span);
            if (back.Count >= all.Length)
                whole.TrySetResult();
        };
        pump.Run(async () =>
        {
            line.Send(all);
            await whole.Task.WaitAsync(Soon, pump, TestContext.Current.CancellationToken);
        });
        Assert.Equal(all, back);
    }

    [Fact]
    public void Port_is_asked_for_alone()
    {
        using var terminal = new PseudoTerminal(Setting.Port, _ => { });
        var pump = Pump.Real();
        Assert.False(terminal.IsExclusive);
        using (SerialLine.Open("line", Setting, pump, pump.Context))
            Assert.True(terminal.IsExclusive);
        Assert.False(terminal.IsExclusive);
    }

    [Theory]
    [InlineData(SerialParity.Even)]
    [InlineData(SerialParity.None)]
    public void Port_opens_again_and_again_with_the_same_setting(SerialParity parity)
    {
        using var terminal = new PseudoTerminal(Setting.Port, _ => { });
        var pump = Pump.Real();
        for (var k = 0; k < 5; k++)
            SerialLine.Open("line", Setting with { Parity = parity }, pump, pump.Context).Dispose();
        Assert.False(terminal.IsExclusive);
    }

    [Fact]
    public void Port_that_is_not_there_is_named()
    {
        var pump = Pump.Real();
        var trouble = Assert.Throws<IOException>(() => SerialLine.Open("bank-1", Setting, pump, pump.Context));
        Assert.Equal(
            $"bank-1: there is no serial port {Setting.Port}. Check that the adapter is plugged in, and its name.",
            trouble.Message
        );
    }

    // Function 15, address 0, eight coils, all zero, to unit 1: MODBUS application protocol V1.1b3, 6.11.
    [Fact]
    public void All_off_that_found_the_plug_pulled_is_the_first_the_bank_hears_when_it_is_back()
    {
        var path = ProfileFolder.Find("demo.yaml", "benches");
        var bench = BenchReader
            .Read(path, File.ReadAllBytes(path), name => File.ReadAllBytes(ProfileFolder.Resolve(path, name)!))
            .Value!;
        var pump = Pump.Real();
        var first = new PseudoTerminal(Setting.Port, _ => { });
        using var line = SerialLine.Open("bank-1", Setting, pump, pump.Context);
        var load = InstrumentFactory.Create(bench.Instrument("bank-1"), bench.Bank, line, pump).Load!;
        var heard = new TaskCompletionSource<byte[]>(TaskCreationOptions.RunContinuationsAsynchronously);
        byte[] sent = pump.Run(async () =>
        {
            var cancel = TestContext.Current.CancellationToken;
            first.Dispose();
            while (!(await load.ReadStatesAsync(cancel)).Detail.Contains("lost", StringComparison.Ordinal))
                await Task.Delay(TimeSpan.FromMilliseconds(20), pump, cancel);
            load.RemoveLoad();
            using var second = new PseudoTerminal(Setting.Port, bytes => heard.TrySetResult(bytes));
            return await heard.Task.WaitAsync(Soon, pump, cancel);
        });
        Assert.Equal([0x01, 0x0F, 0x00, 0x00, 0x00, 0x08, 0x01, 0x00], sent[..8]);
    }

    /// <summary>The port is lost within 1 s and back within 3 s, at another terminal, and nothing is left behind.</summary>
    [Fact]
    public void Twenty_times_unplugged_and_plugged_in_again_the_line_comes_back_and_leaves_nothing_behind()
    {
        var cycles = ReplugCycles.Run(_folder.FullName, 20, isAlone: false);
        Assert.Equal(20, cycles.Count);
        Assert.InRange(cycles.LongestLoss, TimeSpan.Zero, TimeSpan.FromSeconds(1));
        Assert.InRange(cycles.LongestReturn, TimeSpan.Zero, TimeSpan.FromSeconds(3));
        Assert.Equal(0, cycles.StuckCloses);
        Assert.Equal(0, cycles.ThreadsLeft);
        Assert.True(cycles.HandlesLeft <= 0, $"{cycles.HandlesLeft} more files are open: {cycles.Leftovers}");
    }
}
