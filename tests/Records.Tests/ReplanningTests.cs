using LoadTest.Analysis.Decision;
using LoadTest.Records;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.RecordsTests;

public sealed class ReplanningTests
{
    private static IReadOnlyList<JournalEntry> Entries() =>
        FakeRun.Entries(DemoFiles.Plan(), new FakeUnit(-0.018), files: DemoFiles.Embedded());

    [Fact]
    public void Record_of_the_demo_follows_from_its_journal_alone()
    {
        var record = RunRecord.Of(SomeRun.Journal(Entries()));

        Assert.Empty(record.Trouble);
        Assert.Equal(DemoFiles.Embedded().Count, record.Files.Length);
        Assert.Equal("Output verification after rebuild", record.Plan!.Profile.Name);
        Assert.Contains(
            record.Judged,
            j => j is { Measurand: Measurand.ShuntRatio, IsSuperseded: true, Judgement.Verdict: Verdict.Fail }
        );
        Assert.Equal(RecordJson.Write(record), RecordJson.Write(RunRecord.Of(SomeRun.Journal(Entries()))));
    }

    [Fact]
    public void Journal_without_a_file_says_which_one_is_missing()
    {
        var without = Entries().Where(e => e is not FileEmbedded { Role: FileRole.Bench }).ToArray();
        var record = RunRecord.Of(SomeRun.Journal(without));

        Assert.Null(record.Plan);
        Assert.Contains(record.Trouble, t => t.Contains("bench", StringComparison.Ordinal));
        Assert.Equal(OverallVerdict.Incomplete, record.Overall.Verdict);
        Assert.NotEmpty(RecordJson.Write(record));
    }

    [Fact]
    public void Embedded_file_that_is_broken_is_said_with_its_place()
    {
        var broken = Entries()
            .Select(e => e is FileEmbedded { Role: FileRole.Profile } f ? f with { Bytes = [.. "format: 2\n"u8] } : e);
        var record = RunRecord.Of(SomeRun.Journal([.. broken]));

        Assert.Null(record.Plan);
        Assert.Contains(record.Trouble, t => t.Contains("output-verification.yaml(1,", StringComparison.Ordinal));
    }
}
