using System.Text;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Journaling;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests;

public sealed class VerifierTests
{
    private static readonly IReadOnlyList<JournalEntry> Entries = FakeRun.Entries(SomeRun.Plan(), new FakeUnit(-0.018));
    private static readonly byte[] Journal = SomeEntries.Bytes(Entries);
    private static readonly byte[] Record = Conclude(SomeEntries.Read(Journal));

    private static byte[] Conclude(JournalContents journal) =>
        RecordJson.Write(RecordBuilder.Build(journal, SomeRun.Plan(), []));

    private static Verification Verify(byte[] journal, byte[]? record) =>
        Verifier.Verify(SomeEntries.Read(journal), record, Conclude);

    private static byte[] With(string from, string to)
    {
        var text = Encoding.UTF8.GetString(Record);
        Assert.Contains(from, text, StringComparison.Ordinal);
        var at = text.IndexOf(from, StringComparison.Ordinal);
        return Encoding.UTF8.GetBytes(text[..at] + to + text[(at + from.Length)..]);
    }

    [Fact]
    public void Untouched_run_holds()
    {
        var found = Verify(Journal, Record);

        Assert.True(found.Holds, found.Words);
        Assert.Equal(RecordState.Same, found.Record);
        Assert.Contains(found.Head, found.Words, StringComparison.Ordinal);
    }

    [Fact]
    public void Flipped_byte_of_the_journal_is_named_by_its_frame_wherever_it_is()
    {
        // Every byte of a small journal is flipped in TamperingTests; here a prime stride through a whole run.
        var ends = new List<int>();
        foreach (var frame in SomeEntries.Frames(Entries))
            ends.Add((ends.Count == 0 ? 0 : ends[^1]) + frame.Length);
        for (var at = 0; at < Journal.Length; at += 20011)
        {
            var bytes = Journal.ToArray();
            bytes[at] ^= 0x10;
            var found = Verify(bytes, Record);
            var frame = ends.FindIndex(e => at < e);
            Assert.False(found.Holds);
            Assert.Equal(frame, found.Bad!.Number);
            Assert.Contains($"Frame {frame} ", found.Words, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Bytes_flipped_cut_out_put_in_or_swapped_anywhere_in_journal_or_record_never_hold()
    {
        var chance = new Random(59);
        var small = SomeEntries.Bytes(SomeEntries.All);
        for (var trial = 0; trial < 6000; trial++)
        {
            var isJournal = trial % 2 == 0;
            var before = isJournal ? small : Record;
            var after = Tampered(before, chance);
            if (after.AsSpan().SequenceEqual(before))
                continue;
            var found = Verifier.Verify(
                SomeEntries.Read(isJournal ? after : small),
                isJournal ? Record : after,
                static _ => Record
            );
            Assert.False(found.Holds, $"trial {trial}: {found.Words}");
            if (isJournal)
                Assert.True(found.Bad is not null || !found.IsClosed);
        }
    }

    private static byte[] Tampered(byte[] bytes, Random chance)
    {
        var (at, length) = (chance.Next(bytes.Length), chance.Next(1, 40));
        var other = chance.Next(bytes.Length);
        var end = Math.Min(at + length, bytes.Length);
        byte[] copy = [.. bytes];
        switch (chance.Next(4))
        {
            case 0:
                copy[at] ^= (byte)chance.Next(1, 256);
                return copy;
            case 1:
                return [.. bytes[..at], .. bytes[end..]];
            case 2:
                var more = new byte[length];
                chance.NextBytes(more);
                return [.. bytes[..at], .. more, .. bytes[at..]];
            default:
                (copy[at], copy[other]) = (copy[other], copy[at]);
                return copy;
        }
    }

    [Fact]
    public void Cut_tail_does_not_hold()
    {
        var last = SomeEntries.Frames(Entries)[^1].Length;

        Assert.False(Verify(Journal[..^last], Record).Holds);
        Assert.Contains("cut", Verify(Journal[..^last], Record).Words, StringComparison.Ordinal);
        Assert.Equal(BadFrameCause.Truncated, Verify(Journal[..^1], Record).Bad!.Cause);
    }

    [Theory]
    [InlineData("\"verdict\": \"fail\"", "\"verdict\": \"pass\"")]
    [InlineData("\"kind\": \"none\"", "\"kind\": \"verification\"")]
    [InlineData("\"frames\": ", "\"frames\": 9")]
    [InlineData("0.0001178", "0.0001188")]
    public void Changed_value_of_the_record_is_named(string from, string to)
    {
        var found = Verify(Journal, With(from, to));

        Assert.Equal(RecordState.Different, found.Record);
        Assert.False(found.Holds);
        Assert.NotEmpty(found.Differences);
    }

    [Fact]
    public void Changed_blank_of_the_record_is_noticed() =>
        Assert.Equal(RecordState.Different, Verify(Journal, [.. Record, (byte)'\n']).Record);

    [Fact]
    public void Record_of_another_version_holds_by_value_and_not_when_a_value_differs()
    {
        var version = $"\"version\": \"{RecordBuilder.Version}\"";
        var older = With(version, "\"version\": \"0.0.9\"");
        var text = Encoding.UTF8.GetString(older);

        Assert.Equal(RecordState.SameValues, Verify(Journal, older).Record);
        Assert.True(Verify(Journal, older).Holds);
        var changed = text.Replace(
            "\"superseded by as left\": true",
            "\"superseded by as left\": false",
            StringComparison.Ordinal
        );
        Assert.Equal(RecordState.Different, Verify(Journal, Encoding.UTF8.GetBytes(changed)).Record);
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("{")]
    public void Missing_or_broken_record_is_said(string? record)
    {
        var found = Verify(Journal, record is null ? null : Encoding.UTF8.GetBytes(record));

        Assert.Equal(RecordState.Unreadable, found.Record);
        Assert.False(found.Holds);
    }

    [Theory]
    [InlineData("[]")]
    [InlineData("null")]
    [InlineData("{\"version\":7}")]
    public void Record_of_another_shape_does_not_hold(string record) =>
        Assert.False(Verify(Journal, Encoding.UTF8.GetBytes(record)).Holds);

    [Fact]
    public void Empty_journal_does_not_hold() => Assert.False(Verify([], Record).Holds);
}
