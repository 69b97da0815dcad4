using System.Buffers.Binary;
using System.Text;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>Frames found in bytes whose beginning is unknown.</summary>
public sealed class FrameScanTests
{
    private static readonly Remarked Found = new(SomeEntries.At(3), "found");
    private static readonly byte[] Frame = SomeEntries.Frames([Found])[0];

    [Fact]
    public void Frame_is_found_once_it_is_there_to_its_last_byte_and_wherever_it_lies()
    {
        for (var before = 0; before < 20; before++)
        {
            byte[] bytes = [.. new byte[before], .. Frame, .. new byte[before]];
            for (var length = 0; length <= bytes.Length; length++)
            {
                (int, int, JournalEntry)[] expected =
                    length < before + Frame.Length ? [] : [(before, Frame.Length, Found)];
                Assert.Equal(expected, FrameScan.Whole(bytes[..length]));
            }
        }
    }

    [Fact]
    public void Frame_behind_a_damaged_one_is_found_whatever_byte_is_damaged()
    {
        for (var at = 0; at < Frame.Length - JournalFormat.HashLength; at++)
        {
            var damaged = Frame.ToArray();
            damaged[at] ^= 0x41;
            Assert.Equal([(Frame.Length, Frame.Length, Found)], FrameScan.Whole([.. damaged, .. Frame]));
        }
    }

    [Theory]
    [InlineData("""{"kind":"danced","at":0.5}""")]
    [InlineData("""{"kind":"remarked","at":0""")]
    [InlineData("""{"kind":"remarked","at":0,"text":7}""")]
    [InlineData("""{"kind":"remarked","at":0.5,"text":""}""")]
    [InlineData("""{"kind":"load off","at":0,"confirmed":"yes","detail":""}""")]
    [InlineData("""{"kind":"switch intended","at":0,"command":4294967296,"elements":0}""")]
    [InlineData("""{"kind":"file embedded","at":0,"role":"profile","name":"","bytes":"*"}""")]
    public void Whole_frame_that_says_no_entry_is_passed_over_and_the_one_behind_it_found(string payload)
    {
        var odd = Framed(payload);
        Assert.Equal([(odd.Length, Frame.Length, Found)], FrameScan.Whole([.. odd, .. Frame]));
    }

    // Longer ones are never written, and a claim costs no more than the longest.
    [Theory]
    [InlineData(0, true)]
    [InlineData(1, false)]
    public void Longest_frame_is_found_and_a_longer_one_is_none(int beyond, bool isFound)
    {
        var empty = """{"kind":"remarked","at":0,"text":""}""";
        var text = new string('x', JournalFormat.LongestPayload + beyond - empty.Length);
        var bytes = Framed(empty.Insert(empty.Length - 2, text));
        Assert.Equal(isFound ? 1 : 0, FrameScan.Whole(bytes).Count());
    }

    [Fact]
    public void Frame_that_quotes_the_beginning_of_another_is_one_frame()
    {
        var quoting = new Remarked(SomeEntries.At(4), """before {"kind":" behind""");
        var frame = SomeEntries.Frames([quoting])[0];
        Assert.Equal(
            [(0, frame.Length, quoting), (frame.Length, Frame.Length, (JournalEntry)Found)],
            FrameScan.Whole([.. frame, .. Frame])
        );
    }

    // Checksum as it should be; the hash says nothing here.
    private static byte[] Framed(string words)
    {
        var payload = Encoding.UTF8.GetBytes(words);
        var header = new byte[JournalFormat.HeaderLength];
        BinaryPrimitives.WriteUInt32LittleEndian(header, (uint)payload.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(header.AsSpan(4), JournalFormat.Checksum(payload));
        return [.. header, .. payload, .. new byte[JournalFormat.HashLength]];
    }
}
