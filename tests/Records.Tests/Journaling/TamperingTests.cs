using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using CsCheck;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

public sealed class TamperingTests
{
    private static readonly IReadOnlyList<byte[]> Frames = SomeEntries.Frames(SomeEntries.All);
    private static readonly byte[] Whole = [.. Frames.SelectMany(f => f)];

    [Theory]
    [InlineData(0x01)]
    [InlineData(0x80)]
    [InlineData(0xFF)]
    public void Every_flipped_byte_is_named_by_its_frame(byte flip)
    {
        for (var (frame, at) = (0, 0); frame < Frames.Count; frame++)
        {
            for (var i = 0; i < Frames[frame].Length; i++, at++)
            {
                var bytes = Whole.ToArray();
                bytes[at] ^= flip;
                var read = SomeEntries.Read(bytes);
                Assert.Equal(frame, read.Bad?.Number);
                Assert.Equal(frame, read.Entries.Length);
            }
        }
    }

    [Fact]
    public void Every_truncation_leaves_the_whole_frames_before_it_and_names_the_cut_one()
    {
        var ends = new List<int> { 0 };
        foreach (var frame in Frames)
            ends.Add(ends[^1] + frame.Length);
        for (var length = 0; length < Whole.Length; length++)
        {
            var read = SomeEntries.Read(Whole[..length]);
            var whole = ends.FindLastIndex(e => e <= length);
            Assert.Equal(whole, read.Entries.Length);
            Assert.False(read.IsClosed);
            if (ends[whole] == length)
                Assert.Null(read.Bad);
            else
                Assert.Equal((whole, BadFrameCause.Truncated), (read.Bad!.Number, read.Bad.Cause));
        }
    }

    [Fact]
    public void Deleted_frame_is_named()
    {
        for (var gone = 0; gone < Frames.Count - 1; gone++)
        {
            var read = Read(Frames.Where((_, i) => i != gone));
            Assert.Equal((gone, BadFrameCause.Chain), (read.Bad!.Number, read.Bad.Cause));
        }
    }

    [Fact]
    public void Swapped_frames_are_named()
    {
        for (var i = 0; i < Frames.Count - 1; i++)
        {
            var swapped = Frames.ToArray();
            (swapped[i], swapped[i + 1]) = (swapped[i + 1], swapped[i]);
            Assert.Equal((i, BadFrameCause.Chain), (Read(swapped).Bad!.Number, Read(swapped).Bad!.Cause));
        }
    }

    [Fact]
    public void Inserted_frame_is_named()
    {
        for (var i = 1; i < Frames.Count; i++)
        {
            var read = Read([.. Frames.Take(i), Frames[1], .. Frames.Skip(i)]);
            // The copy fits where the original stood; then the original no longer does.
            Assert.Equal(i == 1 ? 2 : i, read.Bad!.Number);
        }
    }

    [Fact]
    public void Anything_after_the_closing_frame_is_named()
    {
        JournalEntry[] entries = [.. SomeEntries.All, new Remarked(TimeSpan.FromSeconds(20), "later")];
        var read = SomeEntries.Read(SomeEntries.Bytes(entries));

        Assert.Equal((entries.Length - 1, BadFrameCause.Order), (read.Bad!.Number, read.Bad.Cause));
        Assert.Equal(BadFrameCause.Truncated, SomeEntries.Read([.. Whole, 0]).Bad!.Cause);
    }

    [Fact]
    public void Journal_that_begins_with_another_entry_is_named() =>
        Assert.Equal(BadFrameCause.Order, SomeEntries.Read(SomeEntries.Bytes([SomeEntries.All[1]])).Bad!.Cause);

    [Theory]
    [InlineData("""{"kind":"danced","at":0,"to":{"a":[1]}}""", null)]
    [InlineData("""{"kind":"danced","at":0,"to":""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"danced","at":0}{}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"danced"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":0,"text":"x","more":1}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":0,"text":"x"} """, null)]
    [InlineData("""{"kind":"remarked","at":0,"text":"x"}{}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","text":"x","at":0}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":0.5,"text":"x"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":150,"text":"x"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":99999999999999999999,"text":"x"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":0,"text":null}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,1e400,0]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,null,0,"good"]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,9.9e37,0]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":-100,"text":"x"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"remarked","at":9223372036854775800,"text":"x"}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,"NaN",0]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[4000000000,1,0]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[[[[[[1]]]]]]]}""", BadFrameCause.Payload)]
    [InlineData("""{"kind":"switch intended","at":0,"command":1,"elements":-1}""", BadFrameCause.Payload)]
    [InlineData(
        """{"kind":"run closed","at":0,"outcome":"7","code":"","detail":"","bank":"off"}""",
        BadFrameCause.Payload
    )]
    [InlineData("[]", BadFrameCause.Payload)]
    [InlineData("\"", BadFrameCause.Payload)]
    public void Payload_that_is_no_entry_is_named_even_with_good_checksum_and_hash(string payload, object? cause)
    {
        var read = SomeEntries.Read([.. Frames[0], .. Reframed(Frames[0][^32..], Encoding.UTF8.GetBytes(payload))]);

        Assert.Equal((BadFrameCause?)cause, read.Bad?.Cause);
    }

    [Theory]
    [InlineData("""{"kind":"danced","at":7000000000,"to":{"a":[1]}}""", "kind \"danced\"")]
    public void Kind_this_version_does_not_know_was_made_by_a_newer_one_and_what_follows_is_still_read(
        string payload,
        string what
    )
    {
        var frame = Reframed(Frames[0][^32..], Encoding.UTF8.GetBytes(payload));
        var last = new FrameWriter(Convert.ToHexStringLower(frame.AsSpan(frame.Length - 32)), 2);
        var read = SomeEntries.Read([.. Frames[0], .. frame, .. last.Next(SomeEntries.All[^1]).ToArray()]);
        last.Dispose();

        Assert.Null(read.Bad);
        Assert.Equal(new NewerEntry(TimeSpan.FromSeconds(7), what), read.Newer);
        Assert.True(read.IsClosed);
        Assert.Contains("made by a newer version", read.Newer!.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Journal_of_a_newer_format_is_said_to_be_one_whatever_its_entries_look_like_and_its_chain_is_checked()
    {
        byte[] first = Reframed(new byte[32], """{"kind":"run opened","at":0,"journal":3,"site":[]}"""u8.ToArray());
        byte[] second = Reframed(first[^32..], """{"what":"scanned"}"""u8.ToArray());
        var read = SomeEntries.Read([.. first, .. second]);
        Assert.Null(read.Bad);
        Assert.Equal((3, 2), (read.Format, read.Entries.Length));
        Assert.Equal("journal format 3, this one knows 1 to 2", read.Newer!.What);
        second[^1] ^= 1;
        Assert.Equal(BadFrameCause.Chain, SomeEntries.Read([.. first, .. second]).Bad!.Cause);
    }

    [Fact]
    public void Claimed_length_asks_for_no_memory()
    {
        byte[] claim = [0xFF, 0xFF, 0xFF, 0x7F, 0, 0, 0, 0];
        var before = GC.GetAllocatedBytesForCurrentThread();
        var read = SomeEntries.Read(claim);

        Assert.Equal(BadFrameCause.Length, read.Bad!.Cause);
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 64 * 1024);
    }

    [Fact]
    public void No_bytes_make_the_reader_throw() =>
        Check.Sample(
            Gen.Select(Gen.Int[0, Whole.Length - 1], Gen.Byte.Array[1, 40], Gen.Bool),
            (at, noise, insert) =>
            {
                byte[] bytes =
                [
                    .. Whole[..at],
                    .. noise,
                    .. Whole[(insert ? at : Math.Min(at + noise.Length, Whole.Length))..],
                ];
                var read = SomeEntries.Read(bytes);
                Assert.True(read.Bad is not null || bytes.AsSpan().SequenceEqual(Whole));
            },
            iter: 5000
        );

    // What a person who can write the file and knows the format would do: an own checksum and hash.
    internal static byte[] Reframed(byte[] previous, byte[] payload)
    {
        var header = new byte[8];
        BinaryPrimitives.WriteUInt32LittleEndian(header, (uint)payload.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(header.AsSpan(4), JournalFormat.Checksum(payload));
        return [.. header, .. payload, .. SHA256.HashData([.. previous, .. payload])];
    }

    private static JournalContents Read(IEnumerable<byte[]> frames) => SomeEntries.Read([.. frames.SelectMany(f => f)]);
}
