using System.Text;
using LoadTest.Records;
using LoadTest.Records.Verifying;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;

namespace LoadTest.RecordsTests.Verifying;

public sealed class DrawnComparisonTests : IDisposable
{
    private static readonly byte[] Record = RecordJson.Write(SomeRun.Record());
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("drawn-");

    public void Dispose() => _folder.Delete(recursive: true);

    private static DrawnAgain Of(byte[]? stored) =>
        DrawnComparison.Of(new DrawnFile(RunFolder.RecordName, Record), stored);

    private static byte[] With(string from, string to)
    {
        var text = Encoding.UTF8.GetString(Record);
        Assert.Contains(from, text, StringComparison.Ordinal);
        var at = text.IndexOf(from, StringComparison.Ordinal);
        return Encoding.UTF8.GetBytes(text[..at] + to + text[(at + from.Length)..]);
    }

    [Fact]
    public void Untouched_record_is_the_same_and_has_no_details()
    {
        Assert.Equal(Drawn.Same, Of(Record).Answer);
        Assert.Empty(Of(Record).Details);
    }

    [Theory]
    [InlineData("\"verdict\": \"fail\"", "\"verdict\": \"pass\"", "verdict")]
    [InlineData("\"kind\": \"none\"", "\"kind\": \"verification\"", "/claim/kind")]
    [InlineData("\"frames\": ", "\"frames\": 9", "/journal/frames")]
    [InlineData("0.0001178", "0.0001188", "judged")]
    [InlineData("\"superseded by as left\": true", "\"superseded by as left\": false", "superseded")]
    [InlineData("\"superseded by as left\": true,", "", "/judged")]
    [InlineData("\"trouble\"", "\"worry\"", "/trouble is missing")]
    [InlineData("\"trouble\": []", "\"trouble\": [\"x\"]", "1 items")]
    [InlineData("\"record\": 1", "\"record\": \"1\"", "/record")]
    public void Changed_value_of_a_record_differs_and_is_named_by_its_path(string from, string to, string path)
    {
        var found = Of(With(from, to));

        Assert.Equal(Drawn.Differs, found.Answer);
        Assert.Contains(found.Details, d => d.Contains(path, StringComparison.Ordinal));
    }

    [Fact]
    public void Last_digits_layout_and_order_alone_are_told_as_such()
    {
        foreach (
            var stored in new[]
            {
                With("\"duration, s\": \"", "\"duration, s\": \"0"),
                [.. Record, (byte)'\n'],
                With("\"trouble\": []", "\"trouble\":  []"),
                With("\"trouble\": [],", "\"trouble\": [],\n \"trouble\": [],"),
            }
        )
        {
            var found = Of(stored);
            Assert.Equal(Drawn.Differs, found.Answer);
            Assert.Contains("every value agrees", Assert.Single(found.Details), StringComparison.Ordinal);
        }
        Assert.Contains(
            Of(With("\"duration, s\": \"", "\"duration, s\": \"1")).Details,
            d => d.Contains("/run/duration, s is", StringComparison.Ordinal)
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("{")]
    [InlineData("[]")]
    [InlineData("null")]
    [InlineData("{\"version\":7}")]
    public void Record_of_another_shape_differs(string record)
    {
        Assert.Equal(Drawn.Differs, Of(Encoding.UTF8.GetBytes(record)).Answer);
        Assert.Null(DrawnComparison.VersionOf(Encoding.UTF8.GetBytes(record)));
    }

    [Fact]
    public void Bytes_that_are_no_text_differ_and_name_no_version()
    {
        var bytes = Record.ToArray();
        bytes[Record.AsSpan().IndexOf("demo"u8) is var at && at >= 0 ? at : 40] = 0xFF;
        Assert.Equal(Drawn.Differs, Of(bytes).Answer);
        Assert.Null(DrawnComparison.VersionOf([0xFF, 0xFE]));
    }

    [Fact]
    public void Version_of_a_record_is_the_build_it_names() =>
        Assert.Equal(RunRecord.Build, DrawnComparison.VersionOf(Record));

    [Fact]
    public void Bytes_flipped_cut_out_put_in_or_swapped_anywhere_in_a_record_differ()
    {
        var chance = new Random(60);
        for (var trial = 0; trial < 1500; trial++)
        {
            var after = BytesAnswerTests.Tampered(Record, chance);
            if (!after.AsSpan().SequenceEqual(Record))
                Assert.Equal(Drawn.Differs, Of(after).Answer);
        }
    }

    [Fact]
    public void Other_files_are_the_same_byte_for_byte_and_where_they_differ_the_line_is_named()
    {
        var drawn = new DrawnFile("report.html", "a\nb\nc\n"u8.ToArray());

        Assert.Equal(Drawn.Same, DrawnComparison.Of(drawn, [.. drawn.Bytes]).Answer);
        var found = DrawnComparison.Of(drawn, "a\nb\nd\n"u8.ToArray());
        Assert.Equal(Drawn.Differs, found.Answer);
        Assert.Contains("line 3 (byte 4)", Assert.Single(found.Details), StringComparison.Ordinal);
    }

    [Fact]
    public void Folder_is_compared_file_by_file_and_a_picture_nobody_draws_is_named()
    {
        using var folder = RunFolder.Create(_folder.FullName, "run-1");
        Directory.CreateDirectory(folder.Plots);
        DrawnFile[] drawn =
        [
            new(RunFolder.RecordName, Record),
            new(RunFolder.ReportName, [1, 2]),
            new($"{RunFolder.PlotsName}/run.svg", [3]),
        ];
        foreach (var file in drawn)
            RunFolder.WriteWhole(Path.Combine(folder.Path, file.Name), file.Bytes);
        Drawn[] Answers() => [.. DrawnComparison.Of(folder, drawn).Select(f => f.Answer)];

        Assert.Equal([Drawn.Same, Drawn.Same, Drawn.Same], Answers());
        RunFolder.WriteWhole(Path.Combine(folder.Plots, "more.svg"), [4]);
        Assert.Equal([Drawn.Same, Drawn.Same, Drawn.Same, Drawn.Cannot], Answers());
        File.Delete(folder.Report);
        Assert.Equal([Drawn.Same, Drawn.Cannot, Drawn.Same, Drawn.Cannot], Answers());
        Directory.Delete(folder.Plots, recursive: true);
        Assert.Equal([Drawn.Same, Drawn.Cannot, Drawn.Cannot], Answers());
    }

    [Fact]
    public void Together_is_different_before_cannot_before_the_same()
    {
        DrawnAgain A(Drawn answer) => new("x", answer, []);

        Assert.Equal(Drawn.Same, DrawnComparison.Together([A(Drawn.Same), A(Drawn.Same)]));
        Assert.Equal(Drawn.Cannot, DrawnComparison.Together([A(Drawn.Same), A(Drawn.Cannot)]));
        Assert.Equal(Drawn.Differs, DrawnComparison.Together([A(Drawn.Cannot), A(Drawn.Differs), A(Drawn.Same)]));
        Assert.Equal(Drawn.Cannot, DrawnComparison.Together([]));
    }
}
