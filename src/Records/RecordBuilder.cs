using System.Collections.Immutable;
using System.Security.Cryptography;
using LoadTest.Analysis.Decision;
using LoadTest.Records.Journaling;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records;

/// <summary>Draws a record's conclusions from a journal, and from nothing else.</summary>
internal static class RecordBuilder
{
    /// <summary>Version of this program, as it goes into the record.</summary>
    public static string Version { get; } = typeof(RecordBuilder).Assembly.GetName().Version!.ToString(3);

    /// <summary>Reads the embedded files, plans again and concludes.</summary>
    public static RunRecord Build(JournalContents journal)
    {
        var trouble = new List<string>();
        var plan = Plan(journal, trouble);
        return Build(journal, plan, trouble);
    }

    /// <summary>The plan, worked out again from the files of a journal that has all of them; null where it has not, or they give none.</summary>
    public static RunPlan? Plan(JournalContents journal, List<string> trouble) =>
        new TrustedPart(journal).HasFiles ? Replanning.Plan(Files(journal.Entries), trouble) : null;

    /// <summary>Concludes with a plan at hand.</summary>
    public static RunRecord Build(JournalContents journal, RunPlan? plan, IReadOnlyList<string> trouble)
    {
        if (journal.Entries.FirstOrDefault() is not RunOpened opened)
            throw new ArgumentException($"Nothing is known of the run: {journal.WhyUnknown}", nameof(journal));
        var trusted = new TrustedPart(journal);
        var day = DateOnly.FromDateTime(opened.StartedUtc.UtcDateTime);
        var closed = journal.Entries[^1] as RunClosed;
        var conclusions = plan is null ? Conclusions.None : Conclusions.Of(plan, trusted, day);
        var instruments = plan is null ? [] : BenchItems.Of(plan, day);
        var judged = conclusions.Judged;
        var overall = Overall.Of([
            .. judged
                .Where(j => j.IsSuperseded != true)
                .Select(j => new JudgedItem(j.Name, j.IsSuperseded is null ? Verdict.Unknown : j.Judgement.Verdict)),
            .. Inspected(conclusions.Asked),
            .. trusted.IsWhole ? [] : new[] { new JudgedItem("what followed in the journal", Verdict.Unknown) },
        ]);
        return new RunRecord
        {
            Opened = opened,
            Head = journal.Head,
            Frames = journal.Entries.Length,
            Bad = journal.Bad,
            Version = Version,
            Files = Files(journal.Entries),
            Plan = plan,
            IsWhole = trusted.IsWhole,
            Trouble = [.. trouble, .. Missing(trusted)],
            Groups = conclusions.Groups,
            Asked = conclusions.Asked,
            Judged = judged,
            Overall = overall,
            DecisionRule = conclusions.Rule,
            Coverage = conclusions.Coverage,
            Assumptions = conclusions.Assumptions,
            Claim = ClaimRule.Of(trusted, overall, instruments),
            Instruments = instruments,
            Cautions = [.. journal.Entries.OfType<CautionAcknowledged>()],
            Gate = [.. journal.Entries.OfType<GateChecked>()],
            Events = [.. EventList.Of(journal.Entries, plan)],
            Trips = [.. LoadTrip.Of(journal.Entries)],
            Closed = closed,
            Off = journal.Entries.OfType<LoadOff>().LastOrDefault(),
            WasEnergised = trusted.WasEnergised,
            LastAt = journal.Entries[^1].At - opened.At,
            Volts = conclusions.Volts,
            Amperes = conclusions.Amperes,
        };
    }

    private static ImmutableArray<EmbeddedFile> Files(IReadOnlyList<JournalEntry> entries) =>
        [
            .. entries
                .OfType<FileEmbedded>()
                .Select(f => new EmbeddedFile(
                    f.Role,
                    f.Name,
                    f.Bytes,
                    Convert.ToHexStringLower(SHA256.HashData(f.Bytes.AsSpan()))
                )),
        ];

    // An inspection found wanting fails; one not reached leaves the run incomplete.
    private static IEnumerable<JudgedItem> Inspected(IReadOnlyList<AskedResult> asked) =>
        asked
            .Where(a => a.Step.Kind == AskKind.Inspect)
            .Select(a => new JudgedItem(
                a.Step.Title,
                !a.IsKnown ? Verdict.Unknown
                    : a.Answer is null ? Verdict.NotTested
                    : a.Answer.Yes ? Verdict.Pass
                    : Verdict.Fail
            ));

    private static IEnumerable<string> Missing(TrustedPart trusted)
    {
        if (trusted.IsWhole)
            yield break;
        var frames = trusted.Journal.Entries.Length;
        yield return trusted.Journal switch
        {
            { Bad: { } bad } => $"The journal cannot be trusted beyond its first {frames} frames. {bad}",
            { Newer: { } newer } => $"{newer} Its frames hold, but what they say is not all known here.",
            _ =>
                $"The journal ends after {frames} frames without saying how the run ended: the run was interrupted, or the journal was cut.",
        };
        if (!trusted.HasFiles)
            yield return "Files the run depended on stand in the missing frames, so its plan is unknown.";
        yield return "Only what no missing frame could deny is told here; everything else is unknown.";
    }
}
