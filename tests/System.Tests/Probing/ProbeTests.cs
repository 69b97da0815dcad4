using System.Text;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Simulator.Faults;
using LoadTest.SystemTests.CommandLine;
using LoadTest.SystemTests.Serving;

namespace LoadTest.SystemTests.Probing;

/// <summary>The built program looks at a served bench with an instrument of every kind, over real wires.</summary>
public sealed class ProbeTests : IDisposable
{
    private const string Bench = "every-kind.yaml";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("probe");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Every_instrument_says_who_it_is_is_read_and_every_element_is_proved_off_by_questions_alone()
    {
        using var bench = new ServedBench(Bench);
        var ended = await ProbeAsync(bench, "--json");
        Assert.True(ended.Exit == 0, ended.ToString());
        var document = ended.Document;
        Assert.True(document.GetProperty("every element off").GetBoolean());
        var lines = document.GetProperty("lines").EnumerateArray().ToList();
        Assert.Equal(
            bench.Bench.Instruments.Select(i => i.Id),
            lines.Select(l => l.GetProperty("instrument").GetString()!),
            StringComparer.Ordinal
        );
        Assert.All(
            lines.Where(l => l.GetProperty("instrument").GetString() != "hand-1"),
            l =>
            {
                Assert.Matches("[0-9]", l.GetProperty("says").GetString()!);
                Assert.EndsWith(" ms", l.GetProperty("round trip").GetString(), StringComparison.Ordinal);
                Assert.EndsWith(" ms", l.GetProperty("age").GetString(), StringComparison.Ordinal);
            }
        );
        var inputs = bench.Bench.Wired.Sum(i => i.Definition.Inputs.Length);
        Assert.Equal(inputs, document.GetProperty("readings").GetArrayLength());
        Assert.All(bench.Passed.Where(p => p.IsIn), p => AssertQuestion(bench.Bench, p));
    }

    [Fact]
    public async Task Element_that_is_on_is_said_and_left_to_a_person()
    {
        using var bench = new ServedBench(Bench);
        await bench.AskAsync(s =>
        {
            // Closed by its own line of text (check: 53 + 45 + 54 + 20 + 30 + 34 is 170 hex), and welded then.
            s.Simulated.Devices.Single(d => d.Name == "bank-1").Receive("SET 04*70\r\n"u8);
            return true;
        });
        await Task.Delay(TimeSpan.FromMilliseconds(200), TestContext.Current.CancellationToken);
        await bench.AskAsync(s =>
        {
            s.Simulated.Inject(new Fault("element-stuck-closed", Element: 2));
            return true;
        });
        var ended = await ProbeAsync(bench, "--json");
        Assert.Equal(1, ended.Exit);
        Assert.Contains(", closed 3. Nothing was switched by this look.", ended.Trouble, StringComparison.Ordinal);
        Assert.False(ended.Document.GetProperty("every element off").GetBoolean());
        Assert.Equal(0b100u, await bench.AskAsync(s => s.Simulated.ElementsOn));
    }

    [Fact]
    public async Task Silent_instrument_is_named_and_the_others_are_read_all_the_same()
    {
        using var bench = new ServedBench(Bench);
        await bench.AskAsync(s =>
        {
            s.Simulated.Inject(new Fault("instrument-silent", "logger-1"));
            return true;
        });
        var ended = await ProbeAsync(bench, "--json");
        Assert.Equal(1, ended.Exit);
        Assert.Contains("logger-1: no reply to", ended.Trouble, StringComparison.Ordinal);
        Assert.True(ended.Document.GetProperty("every element off").GetBoolean());
        Assert.Contains(
            ended.Document.GetProperty("readings").EnumerateArray(),
            r => r.GetProperty("instrument").GetString() == "panel-1"
        );
    }

    [Fact]
    public async Task Bench_another_process_owns_is_refused_and_not_one_byte_is_sent()
    {
        using var bench = new ServedBench(Bench);
        using var held = BenchLock.Take(bench.Server.Instruments.Select(i => i.Line));
        var ended = await ProbeAsync(bench);
        Assert.Equal(3, ended.Exit);
        Assert.Contains($"is in use by process {Environment.ProcessId}", ended.Trouble, StringComparison.Ordinal);
        Assert.Empty(bench.Passed);
    }

    [Fact]
    public async Task Lines_nobody_answers_are_each_said()
    {
        string wires;
        using (var gone = new ServedBench(Bench))
            wires = Write(gone);
        var ended = await BuiltProgram.RunAsync(_folder.FullName, "probe", Bench, "--wires", wires, "--json");
        Assert.Equal(3, ended.Exit);
        Assert.All(
            ended
                .Document.GetProperty("lines")
                .EnumerateArray()
                .Where(l => l.GetProperty("instrument").GetString() != "hand-1"),
            l => Assert.Equal("NO LINE", l.GetProperty("says").GetString())
        );
        Assert.False(ended.Document.GetProperty("every element off").GetBoolean());
    }

    [Fact]
    public async Task Trace_shows_every_byte_and_what_it_means()
    {
        using var bench = new ServedBench(Bench);
        var ended = await ProbeAsync(bench, "--trace");
        // Function 04, one register from 0, of unit 3; its check by the serial line specification V1.02, 6.2.2.
        Assert.Contains(
            "03 04 00 00 00 01 30 28 | unit 3: reading input register 0",
            ended.Trouble,
            StringComparison.Ordinal
        );
        Assert.Contains("| \"*IDN?<LF>\"", ended.Trouble, StringComparison.Ordinal);
        Assert.Contains("| \"REF 1234.5*", ended.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Map_of_a_meter_is_found_from_one_known_value()
    {
        using var bench = new ServedBench(Bench);
        var ended = await ProbeAsync(bench, "--json", "--find-map", "power-1", "--known", "230.25");
        Assert.True(ended.Exit == 0, ended.ToString());
        var best = ended.Document.GetProperty("found")[0];
        Assert.Equal(
            ("input register", "0", "float 32", "low word first"),
            (
                best.GetProperty("table").GetString(),
                best.GetProperty("address from 0").GetString(),
                best.GetProperty("form").GetString(),
                best.GetProperty("word order").GetString()
            )
        );
        Assert.All(bench.Passed.Where(p => p.IsIn), p => AssertQuestion(bench.Bench, p));
    }

    [Fact]
    public async Task Watching_looks_as_often_as_asked()
    {
        using var bench = new ServedBench(Bench);
        var ended = await ProbeAsync(bench, "--watch", "--rounds", "2");
        Assert.Equal(0, ended.Exit);
        Assert.Contains("Look 1, ", ended.Output, StringComparison.Ordinal);
        Assert.Contains("Look 2, ", ended.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Person_types_what_the_hand_meter_reads()
    {
        using var bench = new ServedBench(Bench);
        var wires = Write(bench);
        var ended = await BuiltProgram.RunWithInputAsync(
            _folder.FullName,
            ["H-3301", "7240 V", "72.4 V", "0.8 Ω"],
            "probe",
            Bench,
            "--wires",
            wires,
            "--ask"
        );
        Assert.True(ended.Exit == 0, ended.ToString());
        Assert.Contains("beyond the range, 600 V", ended.Output, StringComparison.Ordinal);
        Assert.Matches("hand-1 +volts +72.4 V", ended.Output);
    }

    [Fact]
    public async Task Bench_in_memory_is_looked_at_without_a_server()
    {
        var ended = await BuiltProgram.RunAsync(_folder.FullName, "probe", "demo.yaml", "--json");
        Assert.True(ended.Exit == 0, ended.ToString());
        Assert.Equal(5, ended.Document.GetProperty("lines").GetArrayLength());
    }

    [Fact]
    public async Task Instruments_on_serial_lines_are_looked_at_beside_those_on_tcp()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "serial lines are simulated on pseudo-terminals, on Linux only");
        using var bench = new ServedBench("demo-four-wires.yaml");
        var ended = await BuiltProgram.RunAsync(
            _folder.FullName,
            "probe",
            "demo-four-wires.yaml",
            "--wires",
            Write(bench),
            "--json"
        );
        Assert.True(ended.Exit == 0, ended.ToString());
        Assert.True(ended.Document.GetProperty("every element off").GetBoolean());
        Assert.Contains(
            ended.Document.GetProperty("lines").EnumerateArray(),
            l => l.GetProperty("line").GetString()!.Contains("Bd", StringComparison.Ordinal)
        );
        Assert.All(bench.Passed.Where(p => p.IsIn), p => AssertQuestion(bench.Bench, p));
    }

    private Task<Ended> ProbeAsync(ServedBench bench, params string[] more) =>
        BuiltProgram.RunAsync(_folder.FullName, ["probe", Bench, "--wires", Write(bench), .. more]);

    private string Write(ServedBench bench)
    {
        var path = Path.Combine(_folder.FullName, "wires.json");
        File.WriteAllText(path, bench.Wires);
        return path;
    }

    // Judged here by the bytes alone, not by the rule the program has.
    private static void AssertQuestion(Bench bench, Passed passed)
    {
        var protocol = bench.Instrument(passed.Device).Definition.Protocol;
        var text = Encoding.Latin1.GetString(passed.Bytes);
        if (protocol is Protocol.ModbusRtu or Protocol.ModbusTcp)
            Assert.InRange(passed.Bytes[protocol == Protocol.ModbusRtu ? 1 : 7], 1, 4);
        else if (protocol == Protocol.Scpi)
            Assert.EndsWith("?\n", text, StringComparison.Ordinal);
        else
            Assert.DoesNotMatch("^(SET|FAN|WDG |AVG [0-9])", text);
    }
}
