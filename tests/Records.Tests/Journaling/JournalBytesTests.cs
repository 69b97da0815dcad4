using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using CsCheck;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.RecordsTests.Journaling;

public sealed class JournalBytesTests
{
    // RFC 3720 (iSCSI), B.4: CRC-32C of 32 bytes of zero, of 32 bytes of ones, and of 0 to 31; from memory.
    [Theory]
    [InlineData("0000000000000000000000000000000000000000000000000000000000000000", 0x8A9136AAu)]
    [InlineData("FFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFF", 0x62A8AB43u)]
    [InlineData("000102030405060708090A0B0C0D0E0F101112131415161718191A1B1C1D1E1F", 0x46DD794Eu)]
    [InlineData("313233343536373839", 0xE3069283u)]
    public void Checksum_is_the_Castagnoli_polynomial_of_RFC_3720(string hex, uint expected) =>
        Assert.Equal(expected, JournalFormat.Checksum(Convert.FromHexString(hex)));

    [Fact]
    public void Frame_is_length_checksum_payload_and_hash_of_previous_and_payload()
    {
        var frames = SomeEntries.Frames(SomeEntries.All);
        var previous = new byte[32];
        foreach (var frame in frames)
        {
            var length = (int)BinaryPrimitives.ReadUInt32LittleEndian(frame);
            var payload = frame[8..(8 + length)];
            Assert.Equal(8 + length + 32, frame.Length);
            Assert.Equal(JournalFormat.Checksum(payload), BinaryPrimitives.ReadUInt32LittleEndian(frame.AsSpan(4)));
            Assert.Equal(SHA256.HashData([.. previous, .. payload]), frame[^32..]);
            previous = frame[^32..];
        }
    }

    [Fact]
    public void Payloads_are_written_as_documented()
    {
        var payloads = SomeEntries
            .Frames(SomeEntries.All)
            .Select(f => Encoding.UTF8.GetString(f.AsSpan()[8..^32]))
            .ToArray();

        Assert.Equal(
            """{"kind":"run opened","at":0,"journal":2,"run":"run-1","version":"0.1.0","started":"2026-11-25T08:30:00.0000000Z","unit":"DG300-0417","simulated":true,"previous":"","proof":"one process"}""",
            payloads[0]
        );
        Assert.Equal(
            """{"kind":"file embedded","at":1000000000,"role":"profile","name":"short.yaml","bytes":"Zm9ybWF0OiAxCg=="}""",
            payloads[1]
        );
        Assert.Equal(
            """{"kind":"asked","at":6000000000,"question":1,"asks":"do","action":"set control","text":"Turn the control to 150 A.","mode":"constant current","setting":150,"setting unit":"ampere","unit":"one"}""",
            payloads[6]
        );
        Assert.Equal(
            """{"kind":"states read","at":11000000000,"outcome":"ok","detail":"","commanded":5,"contacts":5,"air flow":true,"over temperature":false,"stop healthy":null,"timestamp":1234567}""",
            payloads[12]
        );
        Assert.Equal(
            """{"kind":"scanned","at":12000000100,"readings":[[0,31.99345712345678,12000000000],[1,-1.25E-07,11999999900],[2,null,12000000000,"overload"],[3,null,12000000000,"not a number"],[4,null,12000000000,"missing"]]}""",
            payloads[13]
        );
        Assert.Equal(
            """{"kind":"run closed","at":19000000000,"outcome":"tripped","code":"VOLTS","detail":"stud volts 96.1 V, at most 95 V","bank":"off"}""",
            payloads[^1]
        );
    }

    [Theory]
    [InlineData(
        "off judged",
        """{"kind":"off judged","at":16000000000,"confirmed":true,"removed":15000000000,"written":3,"answered":2,"failed":1,"held":0,"contacts at":15200000000,"readings":[[3,"reference shunt drop",0.02,"no current",15300000000,15300000000],[2,"stud volts",31.25,"not live",14500000000,14500000000]],"stopped by":"R. Ohm","stopped at":15900000000}"""
    )]
    [InlineData(
        "load off",
        """{"kind":"load off","at":16000000000,"confirmed":true,"detail":"contacts open, 0.02 A"}"""
    )]
    [InlineData(
        "finding made",
        """{"kind":"finding made","at":16100000000,"step":3,"who":"R. Ohm","text":"one lug hand-tight"}"""
    )]
    [InlineData(
        "answer corrected",
        """{"kind":"answer corrected","at":16200000000,"question":2,"yes":true,"number":150,"remark":"","who":"R. Ohm","typed":"150.0","why":"wrong scale read"}"""
    )]
    [InlineData("noted", """{"kind":"noted","at":16300000000,"who":"R. Ohm","text":"smells of <varnish>"}""")]
    [InlineData(
        "alarm raised",
        """{"kind":"alarm raised","at":16400000000,"alarm":1,"code":"AMPERES","text":"stud current 346 A, at most 345 A: switch the weld output off"}"""
    )]
    [InlineData(
        "alarm answered",
        """{"kind":"alarm answered","at":16500000000,"alarm":1,"who":"R. Ohm","did":"output off, engine stopped"}"""
    )]
    [InlineData("hand switched", """{"kind":"hand switched","at":16600000000,"elements":6,"who":"R. Ohm"}""")]
    [InlineData(
        "acknowledgement taken over",
        """{"kind":"acknowledgement taken over","at":16700000000,"caution":"hot air","who":"R. Ohm","run":"run-0","frame":"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"}"""
    )]
    [InlineData(
        "job named",
        """{"kind":"job named","at":16800000000,"customer":"Depot 4","order":"W-1187","hours":1234.5,"receipt":"on a trailer, dry"}"""
    )]
    [InlineData(
        "adjustment judged",
        """{"kind":"adjustment judged","at":16900000000,"step":4,"verdict":"not needed","who":"","text":"0.1251 mV/A within 0.12375 to 0.12625 mV/A"}"""
    )]
    [InlineData(
        "file attached",
        """{"kind":"file attached","at":17000000000,"name":"photos/lug.jpg","length":81234,"sha256":"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"}"""
    )]
    [InlineData(
        "heat sampled",
        """{"kind":"heat sampled","at":17000000000,"step":5,"celsius":61.25,"from":16000000000,"to":17000000000}"""
    )]
    public void Kinds_that_format_2_brought_and_the_one_it_replaced_are_written_as_decided(
        string kind,
        string payload
    ) =>
        Assert.Equal(
            payload,
            SomeEntries
                .Frames(SomeEntries.All)
                .Select(f => Encoding.UTF8.GetString(f.AsSpan()[8..^32]))
                .First(p => p.StartsWith($"{{\"kind\":\"{kind}\"", StringComparison.Ordinal))
        );

    [Fact]
    public void Every_kind_of_entry_reads_back_as_written()
    {
        var read = SomeEntries.Read(SomeEntries.Bytes(SomeEntries.All));

        Assert.Null(read.Bad);
        Assert.True(read.IsClosed);
        Assert.Equal([.. SomeEntries.All.Select(Words)], read.Entries.Select(Words).ToArray());
    }

    [Fact]
    public void Every_kind_of_entry_there_is_stands_among_the_examples()
    {
        var kinds = typeof(JournalEntry)
            .Assembly.GetTypes()
            .Where(t => t.IsSubclassOf(typeof(JournalEntry)) && !t.IsAbstract);

        Assert.Empty(kinds.Except(SomeEntries.All.Select(e => e.GetType())));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(9.9e37)]
    [InlineData(-1e37)]
    public void Good_reading_without_a_finite_number_is_refused(double value)
    {
        using var writer = new FrameWriter();
        var scan = new Scanned(TimeSpan.Zero, [new Reading(0, value, IndicationFlag.Good, TimeSpan.Zero)]);

        Assert.Throws<ArgumentException>(() => writer.Next(scan).Length);
    }

    [Fact]
    public void Any_finite_number_reads_back_to_the_same_double() =>
        Check.Sample(
            Gen.Double.Where(v => Math.Abs(v) < 1e37).Array[1, 6],
            values =>
            {
                var readings = values.Select((v, i) => new Reading(i, v, IndicationFlag.Good, TimeSpan.FromTicks(i)));
                JournalEntry[] entries = [SomeEntries.All[0], new Scanned(TimeSpan.Zero, [.. readings])];
                var back = (Scanned)SomeEntries.Read(SomeEntries.Bytes(entries)).Entries[1];
                Assert.Equal(
                    values.Select(BitConverter.DoubleToInt64Bits),
                    back.Readings.Select(r => BitConverter.DoubleToInt64Bits(r.Value))
                );
            },
            iter: 2000
        );

    [Fact]
    public void Any_text_reads_back_as_written() =>
        Check.Sample(
            Gen.String.Where(IsWellFormed),
            text =>
            {
                JournalEntry[] entries = [SomeEntries.All[0], new Remarked(TimeSpan.Zero, text)];
                Assert.Equal(entries[1], SomeEntries.Read(SomeEntries.Bytes(entries)).Entries[1]);
            },
            iter: 2000
        );

    // A lone surrogate is no text; it is written as U+FFFD.
    private static bool IsWellFormed(string text) =>
        string.Equals(Encoding.UTF8.GetString(Encoding.UTF8.GetBytes(text)), text, StringComparison.Ordinal);

    // Records compare arrays by reference; their words compare by content.
    private static string Words(JournalEntry entry) =>
        entry switch
        {
            Scanned s => $"scanned {s.At} {string.Join(';', s.Readings)}",
            OffJudged o => $"{o.At} {o.IsConfirmed} {o.Facts} {string.Join(';', o.Facts.Readings)}",
            FileEmbedded f => $"{f.At} {f.Role} {f.Name} {Convert.ToHexString(f.Bytes.AsSpan())}",
            _ => entry.ToString(),
        };

    [Fact]
    public void Longest_payload_and_latest_time_that_may_be_written_are_read_again()
    {
        using var writer = new FrameWriter();
        var latest = TimeSpan.FromTicks(JournalFormat.LatestNanoseconds / 100);
        var without =
            writer.Next(new Remarked(latest, "")).Length - JournalFormat.HeaderLength - JournalFormat.HashLength;
        var text = new string('x', JournalFormat.LongestPayload - without);
        using var longest = new FrameWriter();
        var opened = longest.Next(SomeEntries.All[0]).ToArray();
        var frame = longest.Next(new Remarked(latest, text)).ToArray();
        Assert.Equal(
            JournalFormat.LongestPayload,
            frame.Length - JournalFormat.HeaderLength - JournalFormat.HashLength
        );
        using var file = new MemoryStream([.. opened, .. frame]);
        var read = JournalContents.Read(file);
        Assert.Null(read.Bad);
        Assert.Equal(new Remarked(latest, text), read.Entries[^1]);
    }
}
