using System.Collections.Immutable;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

public sealed class JournalRepairTests : IDisposable
{
    private static readonly IReadOnlyList<JournalEntry> Open = [.. SomeEntries.All.Where(e => e is not RunClosed)];
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("repair");

    private string Journal => Path.Combine(_folder.FullName, "journal");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void Journal_cut_at_any_byte_is_closed_behind_its_last_whole_frame_and_the_torn_end_is_kept()
    {
        var whole = SomeEntries.Bytes(Open);
        var ends = new List<int> { 0 };
        foreach (var frame in SomeEntries.Frames(Open))
            ends.Add(ends[^1] + frame.Length);
        for (var length = ends[1]; length < whole.Length; length += 7)
        {
            File.WriteAllBytes(Journal, whole[..length]);
            var good = ends.FindLastIndex(e => e <= length);
            var repaired = JournalRepair.Close(Journal, Closing);

            Assert.True(repaired.IsMended);
            Assert.Equal(length - ends[good], repaired.TornBytes);
            var read = JournalContents.Read(Journal);
            Assert.Null(read.Bad);
            Assert.True(read.IsClosed);
            Assert.Equal(good + 1, read.Entries.Length);
            Assert.Equal(whole[..ends[good]], File.ReadAllBytes(Journal)[..ends[good]]);
            var torn = Directory.GetFiles(_folder.FullName, "journal.torn*");
            Assert.Equal(length == ends[good] ? 0 : 1, torn.Length);
            foreach (var file in torn)
            {
                Assert.Equal(whole[ends[good]..length], File.ReadAllBytes(file));
                File.Delete(file);
            }
        }
    }

    [Fact]
    public void Closed_journal_stays_as_it_is()
    {
        File.WriteAllBytes(Journal, SomeEntries.Bytes(SomeEntries.All));
        Assert.True(JournalRepair.Close(Journal, Never).IsMended);
        Assert.Equal(SomeEntries.Bytes(SomeEntries.All), File.ReadAllBytes(Journal));
    }

    [Fact]
    public void Journal_with_something_behind_its_end_stays_as_it_is()
    {
        byte[] bytes = [.. SomeEntries.Bytes(SomeEntries.All), 1, 2, 3];
        File.WriteAllBytes(Journal, bytes);
        Assert.False(JournalRepair.Close(Journal, Never).IsMended);
        Assert.Equal(bytes, File.ReadAllBytes(Journal));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(5)]
    public void Journal_without_one_whole_frame_stays_as_it_is(int length)
    {
        File.WriteAllBytes(Journal, SomeEntries.Bytes(Open)[..length]);
        Assert.False(JournalRepair.Close(Journal, Never).IsMended);
        Assert.Equal(length, new FileInfo(Journal).Length);
    }

    // Frames 2 s apart and more behind the bad one cannot all have waited for one sync: this is no torn end.
    [Fact]
    public void Damage_to_what_was_durable_is_not_cut_off()
    {
        var frames = SomeEntries.Frames(Open);
        var bytes = frames.SelectMany(f => f).ToArray();
        bytes[frames[0].Length + 20] ^= 1;
        File.WriteAllBytes(Journal, bytes);

        var repaired = JournalRepair.Close(Journal, Never);
        Assert.False(repaired.IsMended);
        Assert.Equal(1, repaired.Journal.Bad!.Number);
        Assert.Equal(bytes, File.ReadAllBytes(Journal));
    }

    [Fact]
    public void Torn_end_of_several_frames_written_at_once_is_cut_off_whole()
    {
        JournalEntry[] quick = [.. Enumerable.Range(0, 9).Select(i => new Remarked(SomeEntries.At(30 + i * 0.1), "x"))];
        var frames = SomeEntries.Frames([SomeEntries.All[0], .. quick]);
        var bytes = frames.SelectMany(f => f).ToArray();
        var third = frames.Take(3).Sum(f => f.Length);
        Array.Clear(bytes, third + 2, 60);
        File.WriteAllBytes(Journal, bytes);

        var repaired = JournalRepair.Close(Journal, Closing);
        Assert.True(repaired.IsMended);
        Assert.Equal((4, bytes.Length - third), (repaired.Journal.Entries.Length, (int)repaired.TornBytes));
    }

    [Fact]
    public void Second_torn_end_does_not_write_over_the_first()
    {
        for (var k = 1; k <= 3; k++)
        {
            File.WriteAllBytes(Journal, SomeEntries.Bytes(Open)[..^k]);
            JournalRepair.Close(Journal, Closing);
        }
        string[] torn = ["journal.torn", "journal.torn-2", "journal.torn-3"];
        Assert.Equal(
            torn,
            Directory
                .GetFiles(_folder.FullName, "journal.torn*")
                .Select(f => Path.GetFileName(f)!)
                .Order(StringComparer.Ordinal),
            StringComparer.Ordinal
        );
    }

    [Fact]
    public void Rest_goes_on_behind_the_frame_it_follows_wherever_the_file_was_torn()
    {
        var frames = SomeEntries.Frames(SomeEntries.All);
        var whole = SomeEntries.Bytes(SomeEntries.All);
        for (var from = 0; from < frames.Count; from++)
        {
            var start = frames.Take(from).Sum(f => f.Length);
            foreach (var length in new[] { start, start + 5, start + frames[from].Length, whole.Length - 1 })
            {
                File.WriteAllBytes(Journal, whole[..length]);
                var read = JournalRepair.PutBack(Journal, whole[start..]);
                Assert.True(read.IsClosed);
                Assert.Equal(whole, File.ReadAllBytes(Journal));
            }
        }
    }

    [Fact]
    public void Rest_of_another_journal_and_rest_of_one_closed_since_change_nothing()
    {
        var whole = SomeEntries.Bytes(SomeEntries.All);
        var first = SomeEntries.Frames(SomeEntries.All)[0].Length;
        var second = first + SomeEntries.Frames(SomeEntries.All)[1].Length;
        File.WriteAllBytes(Journal, whole[..second]);
        foreach (var rest in new[] { whole[(first + 1)..], [], [1, 2, 3], [.. new byte[50]], whole[second..^40][..45] })
            Assert.Throws<FormatException>(() => JournalRepair.PutBack(Journal, rest));
        Assert.Equal(whole[..second], File.ReadAllBytes(Journal));

        JournalRepair.Close(Journal, Closing);
        var closed = File.ReadAllBytes(Journal);
        Assert.Throws<FormatException>(() => JournalRepair.PutBack(Journal, whole[second..]));
        Assert.Equal(closed, File.ReadAllBytes(Journal));
    }

    [Fact]
    public void End_of_a_journal_alone_says_whether_it_is_closed()
    {
        JournalEntry[] big = [.. Open, new Remarked(SomeEntries.At(18), new string('x', 200_000)), SomeEntries.All[^1]];
        foreach (var entries in new[] { SomeEntries.All, big })
        {
            var bytes = SomeEntries.Bytes(entries);
            Assert.True(Says(bytes));
            Assert.False(Says(bytes[..^1]));
            Assert.False(Says([.. bytes, 0]));
            bytes[^50] ^= 1;
            Assert.False(Says(bytes));
        }
        Assert.False(Says(SomeEntries.Bytes(Open)));
        Assert.False(Says([]));
        // Words that only look like a frame's beginning.
        Assert.False(Says([.. new byte[8], .. "{\"kind\":\"run closed\""u8]));
        Assert.False(Says([.. "\x01\0\0\0\0\0\0\0{\"kind\":\""u8, .. new byte[60]]));
    }

    private bool Says(byte[] bytes)
    {
        File.WriteAllBytes(Journal, bytes);
        return JournalRepair.EndsClosed(Journal);
    }

    private static ImmutableArray<JournalEntry> Closing(JournalContents journal, long torn) =>
        [new RunClosed(journal.Entries[^1].At, Outcome.Interrupted, "CRASH", $"{torn} bytes torn", BankEnd.Off)];

    private static ImmutableArray<JournalEntry> Never(JournalContents journal, long torn) =>
        throw new InvalidOperationException("Nothing is to be appended.");
}
