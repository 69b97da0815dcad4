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

    // Frames wait at most 2 s, and gather 0.1 s before.
    [Theory]
    [InlineData(2.1, true)]
    [InlineData(2.1000001, false)]
    public void Torn_end_spans_no_more_than_frames_may_wait_to_the_tick(double seconds, bool isTorn)
    {
        JournalEntry[] entries =
        [
            SomeEntries.All[0],
            new Remarked(SomeEntries.At(1), "damaged"),
            new Remarked(SomeEntries.At(2), "first"),
            new Remarked(SomeEntries.At(2) + TimeSpan.FromTicks((long)Math.Round(seconds * 1e7)), "last"),
        ];
        var frames = SomeEntries.Frames(entries);
        frames[1][20] ^= 1;
        File.WriteAllBytes(Journal, [.. frames.SelectMany(f => f)]);
        Assert.Equal(isTorn, JournalRepair.Close(Journal, Closing).IsMended);
    }

    [Fact]
    public void What_is_cut_off_is_gone_for_good_before_anything_is_written_in_its_place()
    {
        var whole = SomeEntries.Bytes(Open);
        var last = SomeEntries.Frames(Open)[^1].Length;
        var start = whole.Length - last;
        string[] afterCut = [$"cut {start}", "durable", $"write {start}", "durable"];

        using var torn = Disk(whole[..^1]);
        Assert.True(JournalRepair.Close(torn, torn.MakeDurable, _ => torn.Seen.Add("kept"), Closing).IsMended);
        Assert.Equal(["kept", .. afterCut], torn.Seen);

        using var open = Disk(whole);
        Assert.True(JournalRepair.Close(open, open.MakeDurable, _ => open.Seen.Add("kept"), Closing).IsMended);
        Assert.Equal([$"write {whole.Length}", "durable"], open.Seen);

        using var lost = Disk(whole[..^1]);
        Assert.Null(JournalRepair.PutBack(lost, lost.MakeDurable, whole[start..]).Bad);
        Assert.Equal(afterCut, lost.Seen, StringComparer.Ordinal);

        using var behind = Disk(whole[..start]);
        Assert.Null(JournalRepair.PutBack(behind, behind.MakeDurable, whole[start..]).Bad);
        Assert.Equal([$"write {start}", "durable"], behind.Seen);
    }

    private static LoggedDisk Disk(byte[] content)
    {
        var disk = new LoggedDisk();
        disk.Write(content);
        disk.Seen.Clear();
        disk.Position = 0;
        return disk;
    }

    [Fact]
    public void Rest_cut_before_the_end_of_its_first_frame_goes_on_from_nothing()
    {
        var frames = SomeEntries.Frames(SomeEntries.All);
        File.WriteAllBytes(Journal, frames[0]);
        for (var length = 0; length < frames[1].Length; length++)
        {
            var error = Assert.Throws<FormatException>(() => JournalRepair.PutBack(Journal, frames[1][..length]));
            Assert.StartsWith("These bytes do not go on from any frame", error.Message, StringComparison.Ordinal);
        }
        Assert.Equal(2, JournalRepair.PutBack(Journal, frames[1]).Entries.Length);
        // Behind the frame it goes on from something else stands by now.
        File.WriteAllBytes(Journal, [.. SomeEntries.Bytes([SomeEntries.All[0], SomeEntries.All[2]])]);
        Assert.StartsWith(
            "The journal was gone on with otherwise",
            Assert.Throws<FormatException>(() => JournalRepair.PutBack(Journal, frames[1])).Message,
            StringComparison.Ordinal
        );
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

    /// <summary>Writes down what is done to it, in order.</summary>
    private sealed class LoggedDisk : MemoryStream
    {
        public List<string> Seen { get; } = [];

        public override void Write(ReadOnlySpan<byte> buffer)
        {
            Seen.Add($"write {Position}");
            base.Write(buffer);
        }

        public override void SetLength(long value)
        {
            Seen.Add($"cut {value}");
            base.SetLength(value);
        }

        public void MakeDurable() => Seen.Add("durable");
    }
}
