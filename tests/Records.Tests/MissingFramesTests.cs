using System.Text.Json;
using LoadTest.Analysis.Decision;
using LoadTest.Records;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Journaling;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.RecordsTests;

/// <summary>What a record may still say when frames of its journal are damaged, cut off or taken out: the same as the whole one, or unknown.</summary>
public sealed class MissingFramesTests
{
    private const string Unknown = "unknown";
    private static readonly RunPlan Plan = SomeRun.Plan();

    // What is said of the journal as it lies there, and of the budgets that are told, is not about the run.
    private static readonly string[] OfTheFile = ["/version", "/journal", "/trouble", "/verdict/words", "/assumptions"];

    private static RunRecord Record(IEnumerable<byte[]> frames) =>
        RecordBuilder.Build(SomeEntries.Read([.. frames.SelectMany(f => f)]), Plan, []);

    private static JsonElement Json(RunRecord record) => JsonDocument.Parse(RecordJson.Write(record)).RootElement;

    public static TheoryData<string> Runs => ["complete", "tripped", "real", "unsettled"];

    private static IReadOnlyList<JournalEntry> Entries(string run) =>
        run switch
        {
            "tripped" => FakeRun.Entries(
                Plan,
                new FakeUnit(-0.018),
                tripAtStep: Plan.Steps.OfType<PointStep>().Last(p => p.Group == 3).Number
            ),
            "real" => FakeRun.Entries(Plan, new FakeUnit(-0.018), isSimulated: false),
            "unsettled" => FakeRun.Entries(
                Plan,
                new FakeUnit(0.0001),
                unsettledStep: Plan.Steps.OfType<PointStep>().First().Number
            ),
            _ => FakeRun.Entries(Plan, new FakeUnit(-0.018)),
        };

    [Theory]
    [MemberData(nameof(Runs))]
    public void Record_of_a_damaged_cut_or_thinned_journal_contradicts_the_whole_one_nowhere(string run)
    {
        var entries = Entries(run);
        var frames = SomeEntries.Frames(entries);
        var whole = Json(Record(frames));
        var chance = new Random(18);
        var denied = new List<string>();
        foreach (var at in Places(entries, chance))
        {
            byte[][] damaged = [.. frames];
            switch (chance.Next(3))
            {
                case 0:
                    damaged[at] = [.. frames[at]];
                    damaged[at][chance.Next(damaged[at].Length)] ^= (byte)chance.Next(1, 256);
                    break;
                case 1:
                    damaged = damaged[..at];
                    break;
                default:
                    damaged = [.. damaged[..at], .. damaged[(at + 1)..]];
                    break;
            }
            var record = Record(damaged);
            Assert.False(record.IsWhole);
            Contradictions("", whole, Json(record), denied);
            Assert.True(denied.Count == 0, $"frame {at} of {frames.Count}: {string.Join("; ", denied.Take(5))}");
        }
    }

    // Every place where something else than a scan is lost or is the last to be seen, and some in between.
    private static IEnumerable<int> Places(IReadOnlyList<JournalEntry> entries, Random chance)
    {
        const int Most = 120;
        var telling = Enumerable
            .Range(1, entries.Count - 1)
            .Where(i => entries[i] is not Scanned || entries[i - 1] is not Scanned)
            .ToArray();
        chance.Shuffle(telling);
        return telling.Take(Most).Concat([1, 2, 3, entries.Count - 1]).Order();
    }

    // Equal, or null, or the word unknown; a list may end early.
    private static void Contradictions(string path, JsonElement whole, JsonElement told, List<string> found)
    {
        if (OfTheFile.Contains(path, StringComparer.Ordinal) || told.ValueKind == JsonValueKind.Null)
            return;
        if (told.ValueKind == JsonValueKind.Object && whole.ValueKind == JsonValueKind.Object)
        {
            // A judgement that is unknown has words of its own.
            if (told.TryGetProperty("verdict", out var verdict) && Text(verdict) == Unknown)
                return;
            if (told.TryGetProperty("overall", out var overall) && Text(overall) == Unknown)
                return;
            if (path == "/claim" && Text(told.GetProperty("kind")) == Unknown)
                return;
            foreach (var property in told.EnumerateObject().Where(p => p.Name != "known"))
                Contradictions($"{path}/{property.Name}", whole.GetProperty(property.Name), property.Value, found);
        }
        else if (told.ValueKind == JsonValueKind.Array && whole.ValueKind == JsonValueKind.Array)
        {
            if (told.GetArrayLength() > whole.GetArrayLength())
                found.Add($"{path} has more items");
            else
                for (var i = 0; i < told.GetArrayLength(); i++)
                    Contradictions($"{path}/{i}", whole[i], told[i], found);
        }
        else if (told.GetRawText() != whole.GetRawText())
        {
            found.Add($"{path} is {told.GetRawText()}, of the whole run {whole.GetRawText()}");
        }
    }

    private static string? Text(JsonElement value) =>
        value.ValueKind == JsonValueKind.String ? value.GetString() : null;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Damaged_frame_at_the_beginning_never_makes_a_run_one_that_was_not_energised(int frame)
    {
        byte[][] frames = [.. SomeEntries.Frames(Entries("complete"))];
        frames[frame][^1] ^= 1;
        var record = Record(frames);

        Assert.Equal(frame, record.Bad!.Number);
        Assert.Equal((null, null, null), (record.Outcome, record.Bank, record.WasEnergised));
        Assert.All(record.Judged, j => Assert.Equal(Verdict.Unknown, j.Judgement.Verdict));
        Assert.All(record.Asked, a => Assert.False(a.IsKnown));
        Assert.Equal(OverallVerdict.Unknown, record.Overall.Verdict);
    }

    [Fact]
    public void Claim_on_a_real_bench_is_unknown_without_the_last_frame_and_none_on_a_simulated_one()
    {
        Assert.Equal(ClaimKind.Unknown, Record(SomeEntries.Frames(Entries("real")).SkipLast(1)).Claim.Kind);
        Assert.Equal(ClaimKind.None, Record(SomeEntries.Frames(Entries("complete")).SkipLast(1)).Claim.Kind);
    }

    [Fact]
    public void Failure_as_found_is_kept_and_its_replacement_unknown_when_the_frames_as_left_are_missing()
    {
        var entries = Entries("complete");
        var left = Plan
            .Steps.OfType<PointStep>()
            .First(p => Plan.Groups[p.Group - 1].Condition == Condition.AsLeft)
            .Number;
        var record = Record(
            SomeEntries.Frames([.. entries.TakeWhile(e => e is not StepStarted s || s.Step != left + 1)])
        );
        var found = record.Judged.Single(j => j.Condition == Condition.AsFound);

        Assert.Equal((Verdict.Fail, null), (found.Judgement.Verdict, found.IsSuperseded));
        Assert.Equal(OverallVerdict.Unknown, record.Overall.Verdict);
    }

    [Fact]
    public void Failure_nothing_can_replace_stays_a_failure()
    {
        var plan = SomeRun.Plan(
            SomeRun.Verification() with
            {
                Steps =
                [
                    .. SomeRun.Verification().Steps.Where(s => s is not MeasureStep { Condition: Condition.AsLeft }),
                ],
            }
        );
        var entries = FakeRun.Entries(plan, new FakeUnit(-0.018));
        var record = RecordBuilder.Build(SomeRun.Journal([.. entries.SkipLast(1)]), plan, []);

        Assert.Equal(OverallVerdict.Fail, record.Overall.Verdict);
    }

    [Fact]
    public void Journal_cut_in_its_files_has_no_plan_and_says_why()
    {
        JournalEntry[] entries =
        [
            .. Entries("complete").Take(1),
            new FileEmbedded(TimeSpan.Zero, FileRole.Profile, "short.yaml", [.. "format: 1\n"u8]),
        ];
        var record = RunRecord.Of(SomeRun.Journal(entries));

        Assert.Null(record.Plan);
        Assert.Contains(record.Trouble, t => t.Contains("its plan is unknown", StringComparison.Ordinal));
    }
}
