using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.RecordsTests.Runs;
using LoadTest.Reports;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;

namespace LoadTest.SystemTests.Reports;

/// <summary>Reports of invented runs with the shipped demo files.</summary>
internal static class SomeReport
{
    public static RunRecord Record(
        double gain = -0.018,
        int? tripAtStep = null,
        bool isSimulated = true,
        string operatorName = "R. Ohm"
    ) =>
        Of(
            FakeRun.Entries(
                DemoFiles.Plan(),
                new FakeUnit(gain),
                tripAtStep: tripAtStep,
                isSimulated: isSimulated,
                operatorName: operatorName,
                files: DemoFiles.Embedded()
            )
        );

    public static RunRecord Of(IReadOnlyList<JournalEntry> entries)
    {
        var pump = Pump.Virtual(new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero));
        return pump.Run(() =>
        {
            using var storage = new VirtualStorage(null, pump, 1);
            using var journal = new JournalWriter(storage);
            foreach (var entry in entries)
                journal.Append(entry);
            return Task.FromResult(RunRecord.Of(JournalContents.Read(new MemoryStream(storage.Bytes.ToArray()))));
        });
    }

    public static string Page(RunRecord record) => Report.Write(record, RunPlots.Of(record));
}
