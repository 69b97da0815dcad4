using System.Text.RegularExpressions;

namespace LoadTest.SystemTests.CommandLine;

public sealed partial class DemoTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("demo");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Demo_proves_the_unit_and_the_same_seed_gives_the_same_bytes()
    {
        var ends = await Task.WhenAll(Demo("one", "7"), Demo("two", "7"), Demo("three", "8"));

        Assert.All(ends, end => Assert.True(end.Exit == 0, end.ToString()));
        Assert.Empty(ends[0].Trouble);
        Assert.Matches(Line(), ends[0].Output);
        Assert.Contains("SIMULATED BENCH", ends[0].Output, StringComparison.Ordinal);
        Assert.Contains("as found (replaced by as left)", ends[0].Output, StringComparison.Ordinal);
        Assert.Contains("Report: one/demo/report.html", ends[0].Output.Replace('\\', '/'), StringComparison.Ordinal);
        Assert.Equal(Files("one"), Files("two"));
        foreach (var file in Files("one").Where(f => f != "log.jsonl"))
            Assert.True(Bytes("one", file).AsSpan().SequenceEqual(Bytes("two", file)), $"{file} differs");
        Assert.False(Bytes("one", "journal").AsSpan().SequenceEqual(Bytes("three", "journal")));
    }

    /// <summary>What a person reads of a whole run, on the screen and on paper: no exponent, no unit by its name in the program, no two full stops.</summary>
    [Fact]
    public async Task No_word_of_the_demo_is_the_programs_own()
    {
        var ended = await Demo("runs", "7");
        var pages = new[] { "report.html", "record.json" }.Select(f => File.ReadAllText(Where("runs", f)));
        foreach (var text in pages.Select(p => Markup().Replace(p, " ")).Append(ended.Output))
            Assert.Empty(NoWord().Matches(text).Select(m => text[Math.Max(0, m.Index - 40)..(m.Index + m.Length)]));
    }

    [Fact]
    public async Task Run_folder_holds_what_it_should_and_holds_until_a_byte_is_flipped()
    {
        Assert.Equal(0, (await Demo("runs", "1")).Exit);
        Assert.Superset(
            new HashSet<string>(StringComparer.Ordinal)
            {
                "journal",
                "record.json",
                "report.html",
                "readings.csv",
                "log.jsonl",
                Path.Combine("plots", "plan.svg"),
                Path.Combine("plots", "run.svg"),
            },
            Files("runs").ToHashSet(StringComparer.Ordinal)
        );
        var run = Path.Combine("runs", "demo");

        var whole = await BuiltProgram.RunAsync(_folder.FullName, "verify", run, "--json");
        Assert.True(whole.Exit == 0, whole.ToString());
        Assert.True(whole.Document.GetProperty("bytes").GetProperty("hold").GetBoolean());

        var report = Bytes("runs", "report.html");
        File.Delete(Where("runs", "report.html"));
        Assert.Equal(0, (await BuiltProgram.RunAsync(_folder.FullName, "report", run)).Exit);
        Assert.Equal(report, Bytes("runs", "report.html"));

        var journal = Bytes("runs", "journal");
        journal[journal.Length / 2] ^= 0x20;
        await File.WriteAllBytesAsync(Where("runs", "journal"), journal, TestContext.Current.CancellationToken);
        var flipped = await BuiltProgram.RunAsync(_folder.FullName, "verify", run);
        Assert.Equal(5, flipped.Exit);
        Assert.Matches(BadFrame(), flipped.Trouble);
    }

    [Fact]
    public async Task With_json_the_document_is_all_there_is_on_standard_output()
    {
        var end = await BuiltProgram.RunAsync(_folder.FullName, "demo", "--json");

        Assert.Equal(0, end.Exit);
        var document = end.Document;
        Assert.Equal(0, document.GetProperty("exit").GetInt32());
        Assert.Equal("pass", document.GetProperty("verdict").GetString());
        Assert.Equal("complete", document.GetProperty("outcome").GetString());
        Assert.True(document.GetProperty("simulated").GetBoolean());
        var ratio = document
            .GetProperty("judged")
            .EnumerateArray()
            .Single(j => j.GetProperty("name").GetString() == "shunt ratio, Shunt sweep, as left");
        Assert.Equal("V/A", ratio.GetProperty("unit").GetString());
        // The invented unit's shunt once its lead is landed: rated 60 mV at 500 A is 0.00012 V/A, and the world says how far off it is.
        Assert.InRange(ratio.GetProperty("value").GetDouble(), 0.0001199, 0.0001202);
        Assert.True(File.Exists(Path.Combine(_folder.FullName, document.GetProperty("report").GetString()!)));
    }

    private Task<Ended> Demo(string store, string seed) =>
        BuiltProgram.RunAsync(_folder.FullName, "demo", "--out", store, "--seed", seed);

    private string Where(string store, string file) => Path.Combine(_folder.FullName, store, "demo", file);

    private byte[] Bytes(string store, string file) => File.ReadAllBytes(Where(store, file));

    private string[] Files(string store)
    {
        var root = Path.Combine(_folder.FullName, store, "demo");
        return
        [
            .. Directory
                .GetFiles(root, "*", SearchOption.AllDirectories)
                .Select(f => Path.GetRelativePath(root, f))
                .Order(StringComparer.Ordinal),
        ];
    }

    // A verdict on one line: name, (value ± U) with its unit, k, what is allowed, TUR, verdict.
    [GeneratedRegex(
        @"shunt ratio, Shunt sweep, as left +\(0\.120\d+ ± 0\.0000\d+\) mV/A +\d\.\d\d +0\.1188 to 0\.1212 mV/A +> 10:1 +pass",
        RegexOptions.None,
        1000
    )]
    private static partial Regex Line();

    [GeneratedRegex(@"[Ff]rame \d+", RegexOptions.None, 1000)]
    private static partial Regex BadFrame();

    [GeneratedRegex("<svg.*?</svg>|<style.*?</style>|<[^>]*>|sha256:[0-9a-f]+", RegexOptions.Singleline, 10_000)]
    private static partial Regex Markup();

    // In record.json a number by itself may have an exponent; inside a sentence, before a space and a letter, none may.
    [GeneratedRegex(
        @"\d[Ee][+-]\d+ [A-Za-zΩ°]|revolutionperminute|[a-z0-9)]\.\.(?!\.)|disposed|200B",
        RegexOptions.None,
        10_000
    )]
    private static partial Regex NoWord();
}
