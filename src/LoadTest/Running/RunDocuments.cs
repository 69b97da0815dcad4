using System.Text;
using LoadTest.Plots;
using LoadTest.Records;
using LoadTest.Records.Journaling;
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

    /// <summary>Writes record, report, readings and pictures, each whole or not at all.</summary>
    /// <param name="folder">The folder, its journal closed.</param>
    /// <param name="keepsRecord">Whether a record that is there stays as it is.</param>
    /// <exception cref="IOException">The journal cannot be read, nothing in it can be trusted, or a file cannot be written.</exception>
    public static RunRecord Write(RunFolder folder, bool keepsRecord)
    {
        var journal = JournalContents.Read(folder.Journal);
        if (journal.Entries is not [RunOpened, ..])
            throw new IOException($"{folder.Journal}: {journal.WhyUnknown} Nothing is known of this run.");
        var record = RunRecord.Of(journal);
        if (!keepsRecord || !File.Exists(folder.Record))
            RunFolder.WriteWhole(folder.Record, RecordJson.Write(record));
        var pictures = RunPlots.Of(record);
        WriteText(folder.Report, Report.Write(record, pictures));
        RunFolder.WriteWhole(folder.Readings, ReadingsCsv.Write(record, journal.Entries));
        Directory.CreateDirectory(folder.Plots);
        foreach (var picture in pictures)
            WriteText(Path.Combine(folder.Plots, picture.Name + ".svg"), picture.Svg);
        if (record.Plan is { } plan)
            WriteText(Path.Combine(folder.Plots, "plan.svg"), PlanPicture(plan));
        return record;
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

    private static void WriteText(string path, string text) => RunFolder.WriteWhole(path, Encoding.UTF8.GetBytes(text));
}
