using System.Text;
using CsCheck;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Curves;
using LoadTest.Sequencer.Text;

namespace LoadTest.SystemTests.Curves;

public sealed class CurveFileTests
{
    [Theory]
    [InlineData("current (A),voltage (V)")]
    [InlineData("current [A],voltage [V]")]
    [InlineData("Output current (A),Output voltage (V)")]
    [InlineData("I/A,U/V")]
    [InlineData("current_A,voltage_V")]
    [InlineData("current A,voltage V")]
    [InlineData("amps,volts")]
    [InlineData("\"current, A\",\"voltage, V\"")]
    [InlineData("current (A);voltage (V)")]
    [InlineData("current,voltage\nA,V")]
    [InlineData("# taken by hand\n\ncurrent (A),voltage (V)")]
    public void Heads_may_be_written_as_people_write_them(string head)
    {
        var separator = head.Contains(';') ? ';' : ',';
        var (curves, findings) = Read($"{head}\n100{separator}55.5\n200{separator}50\n");

        Assert.Empty(findings);
        Assert.Equal([new VoltAmpPoint(100, 55.5), new VoltAmpPoint(200, 50)], Assert.Single(curves).Points);
    }

    [Theory]
    [InlineData("current (A),voltage (V),u(current) (A),u(voltage) (V)")]
    [InlineData("current (A),voltage (V),u_I (A),u_U (V)")]
    [InlineData("current (A),voltage (V),current uncertainty (A),voltage uncertainty (V)")]
    [InlineData("current (A),voltage (V),standard uncertainty of current (A),uncertainty of voltage (V)")]
    [InlineData("amps,volts,uncertainty of amps,uncertainty of volts")]
    public void Uncertainties_have_columns_of_their_own(string head)
    {
        var (curves, findings) = Read($"{head}\n100,55.5,0.1,0.02\n");

        Assert.Empty(findings);
        Assert.Equal([new VoltAmpPoint(100, 55.5, 0.1, 0.02)], Assert.Single(curves).Points);
    }

    [Fact]
    public void Prefixes_of_units_are_taken_into_the_numbers() =>
        Assert.Equal(
            [new VoltAmpPoint(150, 25.1)],
            Assert.Single(Read("current (kA),voltage (mV)\n0.15,25100\n").Curves).Points
        );

    [Fact]
    public void A_column_named_curve_parts_the_readings()
    {
        var (curves, _) = Read("curve,current (A),voltage (V)\nlow,0,60\nhigh,0,70\nlow,50,58\n");

        Assert.Equal("low high", string.Join(' ', curves.Select(c => c.Name)));
        Assert.Equal([new VoltAmpPoint(0, 60), new VoltAmpPoint(50, 58)], curves[0].Points);
    }

    [Fact]
    public void Without_such_a_column_the_file_names_the_curve() =>
        Assert.Equal("x", Assert.Single(Read("amps,volts\n0,60\n").Curves).Name);

    [Theory]
    [InlineData("current,voltage (V)\n1,2\n", 1, 1, "names no unit. Write for example `current (A)`")]
    [InlineData("current (V),voltage (V)\n1,2\n", 1, 1, "a current is read in A")]
    [InlineData("current (A),voltage (furlong)\n1,2\n", 1, 13, "has the unit `furlong`")]
    [InlineData("current (A),voltage (V),current (A)\n1,2,3\n", 1, 25, "second column of its kind")]
    [InlineData("current (A)\n1\n", 1, 1, "No column is headed as a voltage")]
    [InlineData("current (A),voltage (V)\n", 0, 0, "no readings")]
    [InlineData("current (A),voltage (V)\n1,2,3\n", 2, 5, "3 cells")]
    [InlineData("current (A),voltage (V)\n1, two\n", 2, 4, "`two` is not a number")]
    [InlineData("current (A),voltage (V)\n1,2 V\n", 2, 3, "`2 V` is not a number")]
    [InlineData("current (A),voltage (V)\n1,\n", 2, 3, "missing")]
    [InlineData("current (A),voltage (V)\n1,NaN\n", 2, 3, "not a number")]
    [InlineData("current (A),voltage (V)\n1,9.9E37\n", 2, 3, "beyond anything measured")]
    [InlineData("current (A);voltage (V)\n1;2,5\n", 2, 3, "has a comma")]
    [InlineData("current (A),voltage (V),u(voltage) (V)\n1,2,0\n", 2, 5, "above 0 V")]
    [InlineData("current (A),voltage (V),u(voltage) (V)\n1,2,\n", 2, 5, "uncertainty is missing")]
    [InlineData("current (A),voltage (V),u(current) (A)\n1,2,1\n", 1, 1, "not for the voltage")]
    [InlineData("current (A),voltage (V),expanded uncertainty of voltage (V)\n1,2,1\n", 1, 25, "coverage factor")]
    [InlineData("current (A),voltage (V)\n\"1,2\n", 2, 1, "does not end")]
    [InlineData("current (A),voltage (V)\n\"1\"2,2\n", 2, 4, "follows a closed quote")]
    [InlineData("current (A)\tvoltage (V)\n1\t2\n", 1, 12, "A tab stands here")]
    [InlineData("current (A),voltage (Ω)\n0,72\n10,\t70\n", 3, 4, "A tab stands here")]
    [InlineData("", 0, 0, "no table")]
    public void What_is_wrong_is_said_with_its_place(string text, int line, int column, string words)
    {
        var (curves, findings) = Read(text);

        Assert.Empty(curves);
        var finding = Assert.Single(findings, f => f.Severity == Severity.Error);
        Assert.Equal(new Place("x.csv", line, column), finding.Place);
        Assert.Contains(words, finding.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Everything_wrong_is_said_at_once()
    {
        var (_, findings) = Read("current (A),voltage (V)\n1,x\ny,2\n3\n");

        Assert.Equal([(2, 3), (3, 1), (4, 1)], findings.Select(f => (f.Place.Line, f.Place.Column)));
    }

    [Fact]
    public void An_unknown_column_is_left_out_and_said()
    {
        var (curves, findings) = Read("current (A),voltage (V),remark\n1,2,warm\n");

        Assert.Single(curves);
        Assert.Equal(Severity.Warning, Assert.Single(findings).Severity);
    }

    [Fact]
    public void No_bytes_make_it_throw()
    {
        string[] pieces =
        [
            "current (A)",
            "voltage (V)",
            "u(current) (A)",
            "curve",
            ",",
            ";",
            "\n",
            "\"",
            "1.5",
            "-2",
            "#",
            "(",
            "[",
            "/",
            "\u00E9",
            "k=2",
            " ",
        ];
        Gen.Int[0, pieces.Length - 1]
            .Select(i => pieces[i])
            .Array[0, 40]
            .Sample(p =>
            {
                var (curves, findings) = Read(string.Concat(p));
                Assert.True(curves.Length == 0 || findings.All(f => f.Severity != Severity.Error));
            });
        Gen.Byte.Array[0, 200].Sample(b => CurveFile.Read("x.csv", b).Findings.Length >= 0);
    }

    private static (
        System.Collections.Immutable.ImmutableArray<GivenCurve> Curves,
        System.Collections.Immutable.ImmutableArray<Finding> Findings
    ) Read(string text) => CurveFile.Read("x.csv", Encoding.UTF8.GetBytes(text));
}
