using System.Text;
using LoadTest.Records;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests;

public sealed class ReadingsCsvTests
{
    // The starts that OWASP ASVS 5.0, 1.2.10 names for formula injection; from memory.
    [Theory]
    [InlineData("=1+1", "'=1+1")]
    [InlineData("+1", "'+1")]
    [InlineData("-1", "'-1")]
    [InlineData("@SUM(A1)", "'@SUM(A1)")]
    [InlineData("\t=1", "<U+0009>=1")]
    [InlineData("\r=1", "<U+000D>=1")]
    [InlineData("a,b", "\"a,b\"")]
    [InlineData("a\"b", "\"a\"\"b\"")]
    [InlineData("=cmd|' /C calc'!A0,\"x\"", "\"'=cmd|' /C calc'!A0,\"\"x\"\"\"")]
    [InlineData("stud volts", "stud volts")]
    [InlineData("", "")]
    public void Text_that_looks_like_a_formula_is_made_text(string text, string cell) =>
        Assert.Equal(cell, ReadingsCsv.Text(text));

    [Fact]
    public void Negative_readings_stay_numbers_and_missing_ones_are_empty()
    {
        var plan = SomeRun.Plan();
        JournalEntry[] entries =
        [
            FakeRun.Entries(plan, new FakeUnit(0))[0],
            new Scanned(
                TimeSpan.FromSeconds(2),
                [
                    new Reading(2, -0.25, IndicationFlag.Good, TimeSpan.FromSeconds(1.5)),
                    new Reading(3, 0, IndicationFlag.Overload, TimeSpan.FromSeconds(1.6)),
                ]
            ),
        ];
        var record = RecordBuilder.Build(SomeRun.Journal(entries), plan, []);
        var lines = Encoding.UTF8.GetString(ReadingsCsv.Write(record, entries)[3..]).Split("\r\n");

        Assert.Equal("1.500000,stud volts,V,-0.25,good", lines[1]);
        Assert.Equal("1.600000,reference drop,V,,overload", lines[2]);
    }
}
