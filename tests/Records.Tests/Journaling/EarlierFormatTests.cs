using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>Journals of earlier formats are read for ever; where they come from stands beside them.</summary>
public sealed class EarlierFormatTests
{
    private static readonly string File1 = Path.Combine(
        AppContext.BaseDirectory,
        "data",
        "journals",
        "format-1-short-check"
    );

    private static JournalContents Format1 => JournalContents.Read(File1);

    [Fact]
    public void Journal_of_format_1_opens_whole_and_says_how_its_run_ended()
    {
        Assert.Null(Format1.Bad);
        Assert.Null(Format1.Newer);
        Assert.Equal((1, true), (Format1.Format, Format1.IsClosed));
        Assert.Equal(BankEnd.Off, Format1.Entries.OfType<RunClosed>().Single().Bank);
    }

    [Fact]
    public void What_format_1_said_of_load_off_is_told_as_what_it_said()
    {
        var off = Assert.IsType<OffSaid>(Format1.Entries.OfType<LoadOff>().Last());
        Assert.True(off.IsConfirmed);
        Assert.StartsWith("all contacts read open", off.Detail, StringComparison.Ordinal);
        Assert.Contains("earlier version", off.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Record_is_drawn_from_format_1_and_the_chain_verifies()
    {
        var record = RunRecord.Of(Format1);
        Assert.NotNull(record.Plan);
        Assert.Equal(BankEnd.Off, record.Bank);
        Assert.NotEmpty(record.Judged);
        Assert.Empty(BytesAnswer.Of(Format1).Trouble);
    }

    [Fact]
    public void One_changed_byte_of_format_1_is_found_wherever_it_lies()
    {
        var bytes = File.ReadAllBytes(File1);
        for (var at = 0; at < bytes.Length; at += 997)
        {
            bytes[at] ^= 4;
            Assert.NotNull(SomeEntries.Read(bytes).Bad);
            bytes[at] ^= 4;
        }
    }

    [Fact]
    public void Interrupted_run_of_format_1_is_closed_with_entries_of_today()
    {
        var entries = Format1.Entries;
        using var disk = new MemoryStream();
        disk.Write(File.ReadAllBytes(File1));
        // The last frame, "run closed", was not written yet.
        var last = SomeEntries.Read(disk.ToArray());
        Assert.Equal(entries.Length, last.Entries.Length);
        using var reader = new MemoryStream(disk.ToArray());
        var journal = new JournalReader(reader);
        long whole = 0;
        while (journal.Next(out var entry) && entry is not RunClosed)
            whole = journal.Length;
        disk.SetLength(whole);
        var end = entries[^1].At;
        var repaired = JournalRepair.Close(
            disk,
            () => { },
            _ => { },
            (_, _) =>
                [
                    new OffJudged(end, false, new OffFacts(end, default, null, [], null)),
                    new RunClosed(end, Outcome.Interrupted, "CRASH", "", BankEnd.OffNotConfirmed),
                ]
        );
        Assert.True(repaired.IsMended);
        Assert.Equal((1, true, null), (repaired.Journal.Format, repaired.Journal.IsClosed, repaired.Journal.Bad));
    }

    [Fact]
    public void Interrupted_run_of_a_newer_version_is_left_as_it_is()
    {
        using var disk = new MemoryStream();
        var first = SomeEntries.Frames([SomeEntries.All[0]])[0];
        disk.Write(first);
        disk.Write(TamperingTests.Reframed(first[^32..], """{"kind":"danced","at":0}"""u8.ToArray()));
        var before = disk.ToArray();
        var repaired = JournalRepair.Close(disk, () => { }, _ => { }, (_, _) => throw new InvalidOperationException());
        Assert.False(repaired.IsMended);
        Assert.NotNull(repaired.Journal.Newer);
        Assert.Equal(before, disk.ToArray());
    }

    [Fact]
    public void Verifier_says_that_the_frames_hold_and_a_newer_version_made_them()
    {
        var first = SomeEntries.Frames([SomeEntries.All[0]])[0];
        var odd = TamperingTests.Reframed(first[^32..], """{"kind":"danced","at":0}"""u8.ToArray());
        var found = BytesAnswer.Of(SomeEntries.Read([.. first, .. odd]));
        Assert.Null(found.Bad);
        Assert.False(found.Hold);
        Assert.Contains("made by a newer version", Assert.Single(found.Trouble), StringComparison.Ordinal);
    }
}
