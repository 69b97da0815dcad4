using System.Text;
using LoadTest.Plots;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.Records.Writing;
using LoadTest.Reports;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Running;

/// <summary>Everything in a run's folder that follows from its journal.</summary>
internal static class RunDocuments
{
    private const int PlanWidth = 900;
    private const int PlanHeight = 420;

    /// <summary>Version of this build, as it goes into records.</summary>
    public static string Build => RunRecord.Build;

    /// <summary>Draws record, report, readings and pictures; writes nothing.</summary>
    /// <param name="journal">A journal whose first entry opens a run.</param>
    /// <param name="version">Build the documents are to name; null for this one.</param>
    /// <param name="note">What the report has to say of the files beside it; empty for nothing.</param>
    /// <exception cref="ArgumentException">Nothing is known of the run.</exception>
    public static (RunRecord Record, IReadOnlyList<DrawnFile> Files) Draw(
        JournalContents journal,
        string? version = null,
        string note = ""
    )
    {
        var record = RunRecord.Of(journal);
        record = record with { Version = version ?? record.Version };
        var pictures = RunPlots.Of(record);
        var files = new List<DrawnFile>
        {
            new(RunFolder.RecordName, RecordJson.Write(record)),
            Text(RunFolder.ReportName, Report.Write(record, pictures, note)),
            new(RunFolder.ReadingsName, ReadingsCsv.Write(record, journal.Entries)),
        };
        files.AddRange(pictures.Select(p => Text($"{RunFolder.PlotsName}/{p.Name}.svg", p.Svg)));
        if (record.Plan is { } plan)
            files.Add(Text($"{RunFolder.PlotsName}/plan.svg", PlanPicture(plan)));
        return (record, files);
    }

    /// <summary>Writes record, report, readings and pictures, each whole or not at all.</summary>
    /// <param name="folder">The folder, its journal closed.</param>
    /// <param name="keepsRecord">Whether a record that is there stays as it is; the report then says where it says something else.</param>
    /// <returns>What was concluded now, and how a record that was kept differs from it; null when none was, or it is the same.</returns>
    /// <exception cref="IOException">The journal cannot be read, nothing in it can be trusted, or a file cannot be written.</exception>
    public static (RunRecord Record, DrawnAgain? Kept) Write(RunFolder folder, bool keepsRecord)
    {
        var journal = JournalContents.Read(folder.Journal);
        if (journal.Entries is not [RunOpened, ..])
            throw new IOException($"{folder.Journal}: {journal.WhyUnknown} Nothing is known of this run.");
        var isKept = keepsRecord && File.Exists(folder.Record);
        var kept = isKept ? Kept(journal, DrawnComparison.Stored(folder.Record)) : null;
        var (record, files) = Draw(journal, note: kept is null ? "" : Said(kept));
        Directory.CreateDirectory(folder.Plots);
        foreach (var file in files.Where(f => f.Name != RunFolder.RecordName || !isKept))
            RunFolder.WriteWhole(Path.Combine(folder.Path, file.Name), file.Bytes);
        return (record, kept);
    }

    /// <summary>How a kept record differs, one sentence.</summary>
    public static string Said(DrawnAgain kept) =>
        $"The {kept.Name} beside it says something else and was left as it is: {string.Join("; ", kept.Details)}. It was drawn from more of this journal or by another build, or was changed since.";

    private static DrawnAgain? Kept(JournalContents journal, byte[]? stored)
    {
        var record = RunRecord.Of(journal);
        var version = stored is null ? null : DrawnComparison.VersionOf(stored);
        var drawn = RecordJson.Write(record with { Version = version ?? record.Version });
        var found = DrawnComparison.Of(new DrawnFile(RunFolder.RecordName, drawn), stored);
        return found.Answer == Drawn.Same ? null : found;
    }

    /// <summary>Load against time as SVG.</summary>
    public static string PlanPicture(RunPlan plan) =>
        PlotStyle.Svg(
            PlanPlot.Draw(
                plan.Profile.Name,
                [.. PlanTimeline.Of(plan).Select(s => new LoadSegment(s.Start, s.End, s.Amperes, s.Volts, s.Group))]
            ),
            PlanWidth,
            PlanHeight
        );

    private static DrawnFile Text(string name, string text) => new(name, Encoding.UTF8.GetBytes(text));
}
