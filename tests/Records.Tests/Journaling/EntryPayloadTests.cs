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

    private static string Written(JournalEntry entry)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes))
            EntryWriter.Write(json, entry);
        return Encoding.UTF8.GetString(bytes.ToArray());
    }

    private static JournalEntry Read(string payload) => EntryReader.Read(Encoding.UTF8.GetBytes(payload));

    [Theory]
    [InlineData("""{"kind":"remarked","at":0,"words":"a"}""", "\"text\" was expected")]
    [InlineData("""{"kind":"remarked","at":0,"text":null}""", "\"text\" is null")]
    [InlineData("""{"kind":"load off","at":0,"confirmed":null,"detail":""}""", "\"confirmed\" is null")]
    [InlineData("""{"kind":"load off","at":0,"confirmed":true}""", "\"detail\" was expected")]
    [InlineData(
        """{"kind":"off judged","at":0,"confirmed":true,"removed":0,"written":-1,"answered":0,"failed":0,"held":null,"contacts at":null,"readings":[],"stopped by":null,"stopped at":null}""",
        "\"written\" is below zero"
    )]
    [InlineData(
        """{"kind":"off judged","at":0,"confirmed":true,"removed":0,"written":1,"answered":0,"failed":0,"held":0,"contacts at":null,"readings":[],"stopped by":null,"stopped at":null}""",
        "a fact and its time come together"
    )]
    [InlineData(
        """{"kind":"off judged","at":0,"confirmed":true,"removed":0,"written":1,"answered":0,"failed":0,"held":null,"contacts at":null,"readings":[],"stopped by":"A","stopped at":null}""",
        "a fact and its time come together"
    )]
    [InlineData(
        """{"kind":"off judged","at":0,"confirmed":true,"removed":0,"written":1,"answered":0,"failed":0,"held":null,"contacts at":null,"readings":[[0,"stud volts",null,"live",0,0]],"stopped by":null,"stopped at":null}""",
        "a fact has a value"
    )]
    [InlineData(
        """{"kind":"off judged","at":0,"confirmed":true,"removed":0,"written":1,"answered":0,"failed":0,"held":null,"contacts at":null,"readings":[[0,"stud volts",1,"alive",0,0]],"stopped by":null,"stopped at":null}""",
        "\"alive\" is not one of current, live, no current, not live, unproved"
    )]
    [InlineData(
        """{"kind":"answer corrected","at":0,"question":1,"yes":true,"number":null,"remark":"","who":"A","why":""}""",
        "\"why\" is empty"
    )]
    [InlineData("""{"kind":"alarm answered","at":0,"alarm":1,"who":"","did":""}""", "\"who\" is empty")]
    [InlineData("""{"kind":"file attached","at":0,"name":"a","length":-1,"sha256":""}""", "\"length\" is below zero")]
    [InlineData(
        """{"kind":"file attached","at":0,"name":"a","length":1,"sha256":"E3B0C44298FC1C149AFBF4C8996FB92427AE41E4649B934CA495991B7852B855"}""",
        "\"sha256\" is no SHA-256"
    )]
    [InlineData(
        """{"kind":"acknowledgement taken over","at":0,"caution":"a","who":"A","run":"r","frame":"00"}""",
        "\"frame\" is no SHA-256"
    )]
    [InlineData("""{"kind":"heat sampled","at":0,"step":1,"celsius":null,"from":0,"to":0}""", "\"celsius\" is null")]
    [InlineData(
        """{"kind":"run opened","at":0,"journal":3,"run":"r","version":"1","started":"2026-11-25T08:30:00.0000000Z","unit":"u","simulated":true,"previous":""}""",
        "journal format 3; formats 1 to 2 are known"
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
        Assert.Throws<FormatException>(() => Read(payload));
    }

    [Theory]
    [InlineData("""[1]""", "StartArray at byte 0 of the payload, where StartObject belongs")]
    [InlineData("""{"kind":7}""", "Number at byte 8 of the payload, where String belongs")]
    [InlineData("""{"kind":"remarked","at":"0"}""", "String at byte 24 of the payload, where Number belongs")]
    [InlineData(
        """{"kind":"file embedded","at":0,"role":"profile","name":"","bytes":0}""",
        "Number at byte 66 of the payload, where String belongs"
    )]
    [InlineData(
        """{"kind":"scanned","at":0,"readings":{}}""",
        "StartObject at byte 36 of the payload, where StartArray belongs"
    )]
    [InlineData(
        """{"kind":"scanned","at":0,"readings":[1]}""",
        "Number at byte 37 of the payload, where StartArray belongs"
    )]
    [InlineData(
        """{"kind":"scanned","at":0,"readings":[[0,"1",0]]}""",
        "String at byte 40 of the payload, where Number belongs"
    )]
    [InlineData(
        """{"kind":"scanned","at":0,"readings":[[0,1,0,0]]}""",
        "Number at byte 44 of the payload, where EndArray belongs"
    )]
    [InlineData(
        """{"kind":"scanned","at":0,"readings":[[0,null,0,1]]}""",
        "Number at byte 47 of the payload, where String belongs"
    )]
    [InlineData(
        """{"kind":"remarked","at":0,"text":"","more":1}""",
        "PropertyName at byte 36 of the payload, where EndObject belongs"
    )]
    [InlineData("""{"kind":"remarked","at":0,"words":""}""", "\"text\" was expected at byte 26 of the payload")]
    [InlineData(
        """{"kind":"run closed","at":0,"outcome":"passed","code":"","detail":"","bank":"on"}""",
        "\"passed\" is not one of complete, failed, interrupted, refused, stopped, tripped"
    )]
    [InlineData("""{"kind":"remarked","at":150,"text":""}""", "150 ns is not a multiple of 100 ns")]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,1E37,0]]}""", "a number's magnitude is 1 × 10³⁷ or more")]
    [InlineData("""{"kind":"scanned","at":0,"readings":[[0,-1E37,0]]}""", "a number's magnitude is 1 × 10³⁷ or more")]
    public void What_stands_where_something_else_belongs_is_named_with_its_place(string payload, string words) =>
        Assert.Equal(words, Assert.Throws<FormatException>(() => Read(payload)).Message);

    [Fact]
    public void Latest_time_and_largest_number_are_written_and_read_and_what_lies_beyond_is_neither()
    {
        var last = new TimeSpan(JournalFormat.LatestNanoseconds / 100);
        var entry = new Scanned(last, [new Reading(0, Math.BitDecrement(1e37), IndicationFlag.Good, last)]);
        var read = Assert.IsType<Scanned>(Read(Written(entry)));
        Assert.Equal((last, entry.Readings[0]), (read.At, read.Readings[0]));
        var beyond = last + TimeSpan.FromTicks(1);
        Assert.Throws<ArgumentException>(() => Written(new Remarked(beyond, "")));
        Assert.Throws<ArgumentException>(() =>
            Written(entry with { Readings = [entry.Readings[0] with { Value = 1e37 }] })
        );
        Assert.Throws<FormatException>(() =>
            Read($$"""{"kind":"remarked","at":{{JournalFormat.LatestNanoseconds + 100}},"text":""}""")
        );
    }

    [Fact]
    public void Kind_this_version_does_not_know_is_named()
    {
        var newer = Assert.IsType<NewerEntry>(Read("""{"kind":"rumour","at":0}"""));
        Assert.Equal("kind \"rumour\"", newer.What);
        using var json = new Utf8JsonWriter(Stream.Null);
        Assert.Throws<ArgumentException>(() => EntryWriter.Write(json, new Rumour(TimeSpan.Zero)));
    }

    [Fact]
    public void Time_before_the_opening_and_value_without_a_name_are_not_written()
    {
        Assert.Throws<ArgumentException>(() => Written(new Remarked(TimeSpan.FromTicks(-1), "early")));
        Assert.Throws<ArgumentException>(() => Written(new Remarked(TimeSpan.MaxValue, "late")));
        Assert.ThrowsAny<ArgumentException>(() =>
            Written(new SwitchEnded(TimeSpan.Zero, 1, new CommandResult((CommandOutcome)99, "")))
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
    public void Reader_that_met_a_bad_frame_reads_nothing_behind_it()
    {
        foreach (var at in new[] { 2, 20 })
        {
            var frames = SomeEntries.Frames([SomeEntries.All[0], SomeEntries.All[1], SomeEntries.All[1]]);
            frames[1][^at] ^= 1;
            var reader = new JournalReader(new MemoryStream([.. frames.SelectMany(f => f)]));
            Assert.True(reader.Next(out _));
            Assert.False(reader.Next(out _));
            var bad = reader.Bad;
            Assert.False(reader.Next(out var entry));
            Assert.Null(entry);
            Assert.Same(bad, reader.Bad);
        }
    }

    [Fact]
    public void Reader_that_has_come_to_the_end_stays_there_though_the_file_grows()
    {
        using var growing = new MemoryStream();
        var frames = SomeEntries.Frames([SomeEntries.All[0], SomeEntries.All[1]]);
        growing.Write(frames[0]);
        growing.Position = 0;
        var early = new JournalReader(growing);
        Assert.True(early.Next(out _));
        Assert.False(early.Next(out _));
        growing.Write(frames[1]);
        growing.Position = frames[0].Length;
        Assert.False(early.Next(out _));

        var reader = new JournalReader(new MemoryStream(SomeEntries.Bytes([SomeEntries.All[0]])));
        Assert.True(reader.Next(out _));
        Assert.False(reader.Next(out _));
        Assert.False(reader.Next(out _));
        Assert.Equal((1, null), (reader.Count, reader.Bad));
    }
}
