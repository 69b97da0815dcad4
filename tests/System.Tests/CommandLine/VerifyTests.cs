using System.Text.Json;
using LoadTest.Commands;

namespace LoadTest.SystemTests.CommandLine;

/// <summary>What verify and report say of a folder somebody or something changed, by the built program.</summary>
public sealed class VerifyTests : IDisposable
{
    private const string Run = "runs/demo";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("verify-");

    public void Dispose() => _folder.Delete(recursive: true);

    private string Where(string name) => Path.Combine(_folder.FullName, "runs", "demo", name);

    private async Task<Ended> Say(params string[] words) => await BuiltProgram.RunAsync(_folder.FullName, words);

    private void Flip(string name, int at)
    {
        var bytes = File.ReadAllBytes(Where(name));
        bytes[at] ^= 0x01;
        File.WriteAllBytes(Where(name), bytes);
    }

    private static (bool Hold, string Drawn) Answers(Ended said) =>
        (
            said.Document.GetProperty("bytes").GetProperty("hold").GetBoolean(),
            said.Document.GetProperty("drawn again").GetProperty("answer").GetString()!
        );

    private static string Answer(Ended said, string file) =>
        said
            .Document.GetProperty("drawn again")
            .GetProperty("files")
            .EnumerateArray()
            .Single(f => f.GetProperty("file").GetString() == file)
            .GetProperty("answer")
            .GetString()!;

    [Fact]
    public async Task Two_answers_are_given_and_never_mixed()
    {
        await Say("demo");
        var whole = await Say("verify", Run, "--json");
        Assert.Equal((true, "same"), Answers(whole));
        Assert.Equal(0, whole.Exit);
        Assert.False(whole.Document.GetProperty("signed").GetBoolean());
        Assert.Contains(VerifyCommand.Unsigned, (await Say("verify", Run)).Output, StringComparison.Ordinal);

        foreach (var name in new[] { "report.html", "readings.csv", "plots/run.svg" })
        {
            var before = await File.ReadAllBytesAsync(Where(name), TestContext.Current.CancellationToken);
            Flip(name, before.Length / 2);
            var changed = await Say("verify", Run, "--json");
            Assert.Equal((1, (true, "differs")), (changed.Exit, Answers(changed)));
            Assert.Equal("differs", Answer(changed, name));
            File.Delete(Where(name));
            var gone = await Say("verify", Run, "--json");
            Assert.Equal((1, (true, "cannot")), (gone.Exit, Answers(gone)));
            await File.WriteAllBytesAsync(Where(name), before, TestContext.Current.CancellationToken);
        }

        Flip("journal", (int)new FileInfo(Where("journal")).Length / 2);
        var flipped = await Say("verify", Run, "--json");
        Assert.Equal((5, (false, "cannot")), (flipped.Exit, Answers(flipped)));
        Assert.Equal(
            JsonValueKind.Number,
            flipped.Document.GetProperty("bytes").GetProperty("bad frame").GetProperty("frame").ValueKind
        );
    }

    [Fact]
    public async Task Record_that_disagrees_is_said_by_verify_and_report_and_never_overwritten()
    {
        await Say("demo");
        var record = (await File.ReadAllTextAsync(Where("record.json"), TestContext.Current.CancellationToken)).Replace(
            "\"verdict\": \"fail\"",
            "\"verdict\": \"pass\"",
            StringComparison.Ordinal
        );
        await File.WriteAllTextAsync(Where("record.json"), record, TestContext.Current.CancellationToken);

        var verified = await Say("verify", Run);
        Assert.Equal(1, verified.Exit);
        Assert.Contains("record.json differs", verified.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("tamper", verified.Output + verified.Trouble, StringComparison.OrdinalIgnoreCase);

        var reported = await Say("report", Run);
        Assert.Equal(1, reported.Exit);
        Assert.Contains("record.json beside it says something else", reported.Trouble, StringComparison.Ordinal);
        Assert.Equal(record, await File.ReadAllTextAsync(Where("record.json"), TestContext.Current.CancellationToken));
        Assert.Contains(
            "record.json beside it says something else",
            await File.ReadAllTextAsync(Where("report.html"), TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Record_of_an_older_or_newer_build_is_said_to_be_and_holds_where_it_says_the_same()
    {
        await Say("demo");
        foreach (var (version, age) in new[] { ("0.0.1", "older"), ("99.0.0", "newer") })
        {
            var record = await File.ReadAllTextAsync(Where("record.json"), TestContext.Current.CancellationToken);
            var said = JsonDocument.Parse(record).RootElement.GetProperty("version").GetString();
            await File.WriteAllTextAsync(
                Where("record.json"),
                record.Replace($"\"version\": \"{said}\"", $"\"version\": \"{version}\"", StringComparison.Ordinal),
                TestContext.Current.CancellationToken
            );
            var verified = await Say("verify", Run, "--json");
            Assert.Equal("same", Answer(verified, "record.json"));
            Assert.Equal(version, verified.Document.GetProperty("concluded by").GetString());
            Assert.Contains(
                $"by an {age} build".Replace("an newer", "a newer", StringComparison.Ordinal),
                (await Say("verify", Run)).Output,
                StringComparison.Ordinal
            );
        }
    }

    /// <summary>The demo's run draws 250 A and more; with its first frames damaged the report called it never energised.</summary>
    [Fact]
    public async Task Report_of_a_run_whose_first_frames_are_damaged_says_unknown_and_what_to_do()
    {
        await Say("demo");
        var journal = await File.ReadAllBytesAsync(Where("journal"), TestContext.Current.CancellationToken);
        for (var frame = 1; frame <= 3; frame++)
        {
            File.Delete(Where("record.json"));
            await File.WriteAllBytesAsync(Where("journal"), journal, TestContext.Current.CancellationToken);
            Flip("journal", Begin(frame) + 8);
            await SaysUnknown();
        }
    }

    private async Task SaysUnknown()
    {
        var said = await Say("report", Run, "--json");
        Assert.Equal(5, said.Exit);
        foreach (var name in new[] { "outcome", "bank", "energised" })
            Assert.Equal(JsonValueKind.Null, said.Document.GetProperty(name).ValueKind);
        Assert.Equal("unknown", said.Document.GetProperty("verdict").GetString());
        var page = await File.ReadAllTextAsync(Where("report.html"), TestContext.Current.CancellationToken);
        Assert.Contains("WHETHER THE LOAD IS OFF IS UNKNOWN", page, StringComparison.Ordinal);
        string[] denials =
        [
            "never energised",
            "nothing may have been energised",
            "Nothing was judged",
            "not reached",
            "did not come so far",
            "was interrupted (",
            "<dd>nobody",
            "not tested",
        ];
        foreach (var denial in denials)
            Assert.DoesNotContain(denial, page, StringComparison.Ordinal);
    }

    private int Begin(int frame)
    {
        var bytes = File.ReadAllBytes(Where("journal"));
        var at = 0;
        for (var i = 0; i < frame; i++)
            at += 8 + BitConverter.ToInt32(bytes, at) + 32;
        return at;
    }
}
