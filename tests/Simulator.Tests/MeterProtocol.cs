using System.Globalization;
using System.Text;
using LoadTest.Simulator;

namespace LoadTest.SimulatorTests;

/// <summary>The multimeters' command language as SCPI-99 and IEEE 488.2 describe it.</summary>
/// <remarks>Error numbers and texts are typed from SCPI-99 volume 2, chapter 21 (read in a public list of them); status bits from IEEE 488.2
/// by way of a public SCPI-99 parser's headers. Forms of answers (function names without default nodes) from memory.</remarks>
public class MeterProtocol
{
    [Theory]
    [InlineData("VOLT:DCC:RANG 1", "-113,\"Undefined header\"")]
    [InlineData("*IDN", "-113,\"Undefined header\"")]
    [InlineData("VOLTA:RANG 1", "-113,\"Undefined header\"")]
    [InlineData("VOLT:RANG", "-109,\"Missing parameter\"")]
    [InlineData("READ? 1", "-108,\"Parameter not allowed\"")]
    [InlineData("VOLT:RANG 1,2", "-108,\"Parameter not allowed\"")]
    [InlineData("VOLT:RANG \"ten\"", "-104,\"Data type error\"")]
    [InlineData("VOLT:RANG 1.2.3", "-121,\"Invalid character in number\"")]
    [InlineData("VOLT:RANG 1 A", "-131,\"Invalid suffix\"")]
    [InlineData("VOLT:RANG 1001", "-222,\"Data out of range\"")]
    [InlineData("VOLT:NPLC 0.01", "-222,\"Data out of range\"")]
    [InlineData("VOLT:RANG:AUTO MAYBE", "-224,\"Illegal parameter value\"")]
    [InlineData("FETC?", "-230,\"Data corrupt or stale\"")]
    [InlineData("VOLTAGEVOLTAGE:RANG 1", "-112,\"Program mnemonic too long\"")]
    [InlineData("VOLT(RANG 1", "-102,\"Syntax error\"")]
    [InlineData("FUNC \"VOLT", "-151,\"Invalid string data\"")]
    public void Mistake_enters_the_standard_error(string mistake, string error)
    {
        using var rig = new Rig();
        Assert.Equal("", rig.Ask("dmm-1", mistake));
        Assert.Equal(error, rig.Ask("dmm-1", "SYST:ERR?"));
        Assert.Equal("0,\"No error\"", rig.Ask("dmm-1", "SYST:ERR?"));
    }

    [Theory]
    [InlineData("VOLTage:DC:RANGe:UPPer?")]
    [InlineData("volt:rang?")]
    [InlineData("SENS:VOLT:RANG?")]
    [InlineData(":SENSE:VOLTAGE:DC:RANGE?")]
    [InlineData("VOLT:RANG?\r")]
    public void Long_and_short_forms_mean_the_same(string question)
    {
        using var rig = new Rig();
        rig.Ask("dmm-1", "VOLT:RANG 60");
        Assert.Equal("+1.00000000E+02", rig.Ask("dmm-1", question));
    }

    [Theory]
    [InlineData("50 mV", "+1.00000000E-01")]
    [InlineData("1e1", "+1.00000000E+01")]
    [InlineData("0.5KV", "+1.00000000E+03")]
    [InlineData("MIN", "+1.00000000E-01")]
    [InlineData("MAXimum", "+1.00000000E+03")]
    [InlineData("-9.5", "+1.00000000E+01")]
    public void Range_is_the_smallest_that_holds_the_value(string value, string range)
    {
        using var rig = new Rig();
        Assert.Equal(range + ";0", rig.Ask("dmm-1", $"VOLT:RANG {value};RANG?;RANG:AUTO?"));
    }

    [Fact]
    public void Header_after_a_semicolon_counts_from_the_node_before()
    {
        using var rig = new Rig();
        Assert.Equal("+1.00000000E+01", rig.Ask("dmm-1", "SENS:VOLT:DC:RANG 10;NPLC 10;NPLC?"));

        // From the root only with a colon of its own; common commands leave the node alone.
        Assert.Equal("", rig.Ask("dmm-1", "VOLT:RANG 10;SYST:ERR?"));
        Assert.Equal("-113,\"Undefined header\"", rig.Ask("dmm-1", "SYST:ERR?"));
        Assert.Equal("1;+1.00000000E+01", rig.Ask("dmm-1", "VOLT:RANG 10;*OPC?;RANG?"));
        Assert.Equal("0,\"No error\"", rig.Ask("dmm-1", "VOLT:RANG 10;:SYST:ERR?"));
    }

    [Fact]
    public void Full_queue_keeps_the_oldest_and_ends_with_overflow()
    {
        using var rig = new Rig();
        for (var i = 0; i < 30; i++)
        {
            rig.Ask("dmm-2", "NONSENSE", 0.01);
        }

        Assert.Equal("20", rig.Ask("dmm-2", "SYST:ERR:COUN?"));
        var errors = Enumerable.Range(0, 21).Select(_ => rig.Ask("dmm-2", "SYST:ERR?", 0.01)).ToArray();
        Assert.All(errors[..19], error => Assert.Equal("-113,\"Undefined header\"", error));
        Assert.Equal("-350,\"Queue overflow\"", errors[19]);
        Assert.Equal("0,\"No error\"", errors[20]);
    }

    [Fact]
    public void Status_bits_stand_where_the_standard_puts_them()
    {
        using var rig = new Rig();

        // Power on is bit 7, command error bit 5, execution error bit 4, operation complete bit 0; reading clears.
        Assert.Equal("128", rig.Ask("dmm-1", "*ESR?"));
        rig.Ask("dmm-1", "NONSENSE");
        rig.Ask("dmm-1", "VOLT:RANG 1E4");
        rig.Ask("dmm-1", "*OPC");
        rig.Ask("dmm-1", "*ESE 32;*SRE 32");

        // Status byte: error queue bit 2, event summary bit 5, master summary bit 6.
        Assert.Equal("100", rig.Ask("dmm-1", "*STB?"));
        Assert.Equal("49", rig.Ask("dmm-1", "*ESR?"));
        Assert.Equal("4", rig.Ask("dmm-1", "*STB?"));
        rig.Ask("dmm-1", "*CLS");
        Assert.Equal("0", rig.Ask("dmm-1", "*STB?"));
        Assert.Equal("32;32", rig.Ask("dmm-1", "*ESE?;*SRE?"));
    }

    [Fact]
    public void Reading_is_answered_when_its_aperture_is_over()
    {
        // Ten cycles of 60 Hz last 166.7 ms.
        using var rig = new Rig();
        rig.Ask("dmm-1", "CONF:VOLT:DC 100");
        rig.Ask("dmm-1", "VOLT:NPLC 10");
        Assert.Empty(rig.Ask("dmm-1", "READ?", 0.166));
        rig.Time.Pass(1);
        Assert.NotEmpty(rig.Ask("dmm-1", "READ?", 0.169));
    }

    [Fact]
    public void Fetch_waits_for_the_reading_that_was_started()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        Assert.Equal(rig.Bench.Truth.StudVolts, Number(rig.Ask("dmm-1", "INIT;FETC?")), 0.2);
        Assert.Equal(rig.Ask("dmm-1", "FETC?"), rig.Ask("dmm-1", "FETC?"));
    }

    [Fact]
    public void Reading_is_the_mean_over_the_aperture()
    {
        // The output rises from 0 with a time constant of 0.12 s while 100 power-line cycles (1.667 s) are averaged.
        using var rig = new Rig(Rig.Ideal());
        rig.Bench.Source.SetMode(SourceMode.ConstantVoltage);
        rig.Bench.Source.StartEngine();
        rig.Bench.Source.SetControlMaximum();
        rig.Time.Pass(10);
        rig.Ask("dmm-1", "CONF:VOLT:DC 100");
        rig.Ask("dmm-1", "VOLT:NPLC 100");
        rig.Bench.Source.SetOutput(on: true);
        var reading = Number(rig.Ask("dmm-1", "READ?", 3));
        var window = 100 / 60.0;
        var expected = 35 * (1 - 0.12 / window * (1 - Math.Exp(-window / 0.12)));
        Assert.Equal(expected, reading, 0.02);
    }

    [Fact]
    public void Over_range_reads_9_9E37_with_its_sign()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Ask("dmm-1", "CONF:VOLT:DC 10");
        Assert.Equal("+9.90000000E+37", rig.Ask("dmm-1", "READ?"));
        Assert.Equal("1", rig.Ask("dmm-1", "STAT:QUES:COND?"));
        rig.Bench.Inject(new Simulator.Faults.Fault("meter-reversed", "dmm-1"));
        Assert.Equal("-9.90000000E+37", rig.Ask("dmm-1", "READ?"));
    }

    [Fact]
    public void Readings_stand_on_the_counts_of_their_range()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Ask("dmm-1", "CONF:VOLT:DC 100");
        Assert.Equal("+1.00000000E-04", rig.Ask("dmm-1", "VOLT:RES?"));
        for (var i = 0; i < 20; i++)
        {
            var counts = Number(rig.Ask("dmm-1", "READ?", 0.1)) / 1e-4;
            Assert.Equal(Math.Round(counts), counts, 1e-3);
        }
    }

    [Fact]
    public void Configuration_reads_back()
    {
        using var rig = new Rig();
        rig.Ask("dmm-3", "CONF:VOLT:DC 0.1,1E-6");
        Assert.Equal("\"VOLT +1.00000000E-01,+1.00000000E-06\"", rig.Ask("dmm-3", "CONF?"));
        Assert.Equal("+1.00000000E-01", rig.Ask("dmm-3", "VOLT:NPLC?"));
        Assert.Equal("\"VOLT\"", rig.Ask("dmm-3", "FUNC?"));
        rig.Ask("dmm-3", "FUNC \"VOLTage:AC\"");
        Assert.Equal("\"VOLT:AC\"", rig.Ask("dmm-3", "SENS:FUNC?"));
        rig.Ask("dmm-3", "*RST");
        Assert.Equal("1;+1.00000000E+00", rig.Ask("dmm-3", "VOLT:RANG:AUTO?;:VOLT:NPLC?"));
    }

    [Fact]
    public void Ac_reading_is_the_ripple()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        Assert.Equal(rig.Bench.Truth.RippleVolts, Number(rig.Ask("dmm-1", "MEAS:VOLT:AC?")), 1e-4);
    }

    [Fact]
    public void Too_long_a_message_is_an_overrun_and_the_next_is_understood()
    {
        using var rig = new Rig();
        rig.Ask("dmm-1", new string('A', 5000));
        Assert.Equal("-363,\"Input buffer overrun\"", rig.Ask("dmm-1", "SYST:ERR?"));
    }

    [Fact]
    public void Message_may_arrive_in_any_portions()
    {
        using var rig = new Rig();
        foreach (var b in "*IDN"u8.ToArray())
        {
            rig["dmm-1"].Receive([b]);
        }

        var answer = rig.Exchange("dmm-1", "?\n*IDN?\n"u8.ToArray());
        const string Identity = "SIMULATED BENCH,METER,SM-1001,1.0\n";
        Assert.Equal(Identity + Identity, Encoding.ASCII.GetString(answer));
    }

    internal static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
