using System.Text;
using System.Text.Json;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>A payload is exactly what the writer writes, or it is refused in words.</summary>
public sealed class EntryPayloadTests
{
    private sealed record Rumour(TimeSpan At) : JournalEntry(At);

    private static JournalEntry Read(string payload) => EntryReader.Read(Encoding.UTF8.GetBytes(payload));

    [Theory]
    [InlineData("""{"kind":"remarked","at":0,"words":"a"}""", "\"text\" was expected")]
    [InlineData("""{"kind":"remarked","at":0,"text":null}""", "\"text\" is null")]
    [InlineData("""{"kind":"load off","at":0,"confirmed":null,"detail":""}""", "\"confirmed\" is null")]
    [InlineData("""{"kind":"load off","at":0,"confirmed":true}""", "\"detail\" was expected")]
    [InlineData(
        """{"kind":"run opened","at":0,"journal":2,"run":"r","version":"1","started":"2026-11-25T08:30:00.0000000Z","unit":"u","simulated":true,"previous":""}""",
        "journal format 2; this version reads format 1"
    )]
    [InlineData(
        """{"kind":"asked","at":0,"question":1,"asks":"do","action":"set control","text":"","mode":null,"setting":150,"setting unit":null,"unit":"one"}""",
        "a setting and its unit come together"
    )]
    [InlineData(
        """{"kind":"asked","at":0,"question":1,"asks":"do","action":"set control","text":"","mode":null,"setting":null,"setting unit":"ampere","unit":"one"}""",
        "a setting and its unit come together"
    )]
    public void Payload_that_the_writer_would_not_write_is_refused(string payload, string words) =>
        Assert.Contains(words, Assert.Throws<FormatException>(() => Read(payload)).Message, StringComparison.Ordinal);

    [Theory]
    [InlineData("")]
    [InlineData("{")]
    [InlineData("""{"kind":"remarked","at":0""")]
    [InlineData("""[1]""")]
    [InlineData("""{"kind":"remarked","at":0,"text":"a"} 1""")]
    [InlineData("""{"kind":"remarked","at":0,"text":"a"}{}""")]
    [InlineData("""{"kind":"remarked","at":0,"text":{"a":{"b":{"c":{"d":1}}}}}""")]
    public void Payload_that_is_no_whole_object_is_refused(string payload)
    {
        var error = Record.Exception(() => Read(payload));
        Assert.True(error is FormatException or JsonException, $"{error}");
    }

    [Fact]
    public void Kind_this_version_does_not_know_is_named()
    {
        var error = Assert.Throws<UnknownKindException>(() => Read("""{"kind":"rumour","at":0}"""));
        Assert.Contains("rumour", error.Message, StringComparison.Ordinal);
        using var json = new Utf8JsonWriter(Stream.Null);
        Assert.Throws<ArgumentException>(() => EntryWriter.Write(json, new Rumour(TimeSpan.Zero)));
    }

    [Fact]
    public void Time_before_the_opening_and_value_without_a_name_are_not_written()
    {
        void Write(JournalEntry entry)
        {
            using var json = new Utf8JsonWriter(Stream.Null);
            EntryWriter.Write(json, entry);
        }

        Assert.Throws<ArgumentException>(() => Write(new Remarked(TimeSpan.FromTicks(-1), "early")));
        Assert.Throws<ArgumentException>(() => Write(new Remarked(TimeSpan.MaxValue, "late")));
        Assert.ThrowsAny<ArgumentException>(() =>
            Write(new SwitchEnded(TimeSpan.Zero, 1, new CommandResult((CommandOutcome)99, "")))
        );
    }

    [Fact]
    public void Entry_longer_than_a_frame_may_be_is_refused_before_anything_is_written()
    {
        using var writer = new FrameWriter();
        Assert.ThrowsAny<ArgumentException>(() =>
        {
            writer.Next(new Remarked(TimeSpan.Zero, new string('x', JournalFormat.LongestPayload)));
        });
    }

    [Fact]
    public void Second_opening_in_one_journal_ends_the_trust_in_it()
    {
        var read = SomeEntries.Read(SomeEntries.Bytes([SomeEntries.All[0], SomeEntries.All[0]]));
        Assert.Equal(1, read.Bad!.Number);
        Assert.Contains("a run was opened already", read.Bad.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Reader_that_has_come_to_the_end_stays_there()
    {
        var reader = new JournalReader(new MemoryStream(SomeEntries.Bytes([SomeEntries.All[0]])));
        Assert.True(reader.Next(out _));
        Assert.False(reader.Next(out _));
        Assert.False(reader.Next(out _));
        Assert.Equal((1, null), (reader.Count, reader.Bad));
    }

    [Fact]
    public void Directory_that_is_not_there_cannot_be_made_durable()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "there the file system journals names itself");
        var nowhere = Path.Combine(Path.GetTempPath(), "no-such-directory");
        var error = Assert.Throws<IOException>(() => DirectorySync.Sync(nowhere));
        Assert.Contains("could not be opened", error.Message, StringComparison.Ordinal);
    }
}
