using LoadTest.Records.Journaling;
using LoadTest.Records.Verifying;
using LoadTest.RecordsTests.Journaling;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Verifying;

public sealed class BytesAnswerTests
{
    private static readonly IReadOnlyList<JournalEntry> Entries = FakeRun.Entries(SomeRun.Plan(), new FakeUnit(-0.018));
    private static readonly byte[] Journal = SomeEntries.Bytes(Entries);

    private static BytesAnswer Of(byte[] journal) => BytesAnswer.Of(SomeEntries.Read(journal));

    [Fact]
    public void Untouched_journal_holds_and_has_nothing_to_say_against_it()
    {
        var found = Of(Journal);

        Assert.True(found.Hold);
        Assert.Empty(found.Trouble);
        Assert.Equal(Entries.Count, found.Frames);
    }

    [Fact]
    public void Flipped_byte_is_named_by_its_frame_wherever_it_is()
    {
        // Every byte of a small journal is flipped in TamperingTests; here a prime stride through a whole run.
        var ends = new List<int>();
        foreach (var frame in SomeEntries.Frames(Entries))
            ends.Add((ends.Count == 0 ? 0 : ends[^1]) + frame.Length);
        for (var at = 0; at < Journal.Length; at += 20011)
        {
            var bytes = Journal.ToArray();
            bytes[at] ^= 0x10;
            var found = Of(bytes);
            var frame = ends.FindIndex(e => at < e);
            Assert.False(found.Hold);
            Assert.Equal(frame, found.Bad!.Number);
            Assert.Contains(found.Trouble, t => t.Contains($"Frame {frame} ", StringComparison.Ordinal));
        }
    }

    [Fact]
    public void Bytes_flipped_cut_out_put_in_or_swapped_anywhere_never_hold()
    {
        var chance = new Random(59);
        var small = SomeEntries.Bytes(SomeEntries.All);
        for (var trial = 0; trial < 6000; trial++)
        {
            var after = Tampered(small, chance);
            if (after.AsSpan().SequenceEqual(small))
                continue;
            var found = Of(after);
            Assert.False(found.Hold, $"trial {trial}");
            Assert.True(found.Bad is not null || !found.IsClosed);
        }
    }

    [Fact]
    public void Cut_tail_does_not_hold_and_is_said_to_be_interrupted_or_cut()
    {
        var last = SomeEntries.Frames(Entries)[^1].Length;

        Assert.False(Of(Journal[..^last]).Hold);
        Assert.Contains("or cut", Assert.Single(Of(Journal[..^last]).Trouble), StringComparison.Ordinal);
        Assert.Equal(BadFrameCause.Truncated, Of(Journal[..^1]).Bad!.Cause);
        Assert.Contains("Frame", Assert.Single(Of(Journal[..^1]).Trouble), StringComparison.Ordinal);
    }

    [Fact]
    public void Empty_journal_does_not_hold() => Assert.False(Of([]).Hold);

    /// <summary>Bytes with something done to them that needs no knowledge of the format.</summary>
    internal static byte[] Tampered(byte[] bytes, Random chance)
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
}
