using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class TextQuantityTests
{
    private static readonly Place Here = new("f", 1, 1);

    // Prefixes and unit symbols: SI Brochure, 9th edition, tables 7 and 8, and 5.4; 1 min = 60 s, 1 h = 3600 s, 1 Wh = 3600 J.
    [Theory]
    [InlineData("50 mV", 0.05, Unit.Volt)]
    [InlineData("0.125 mV/A", 0.000125, Unit.VoltPerAmpere)]
    [InlineData("125 \u00B5\u03A9", 0.000125, Unit.Ohm)]
    [InlineData("125 \u03BC\u2126", 0.000125, Unit.Ohm)]
    [InlineData("125 uOhm", 0.000125, Unit.Ohm)]
    [InlineData("8ohm", 8, Unit.Ohm)]
    [InlineData("9 kW", 9000, Unit.Watt)]
    [InlineData("500 M\u03A9", 5e8, Unit.Ohm)]
    [InlineData("2 nV", 2e-9, Unit.Volt)]
    [InlineData("10 min", 600, Unit.Second)]
    [InlineData("1.5 h", 5400, Unit.Second)]
    [InlineData("120 ms", 0.12, Unit.Second)]
    [InlineData("2 kWh", 7.2e6, Unit.Joule)]
    [InlineData("1800 rpm", 1800, Unit.RevolutionPerMinute)]
    [InlineData("-20 \u00B0C", -20, Unit.Celsius)]
    [InlineData("\u221220 \u2103", -20, Unit.Celsius)]
    [InlineData("40 K", 40, Unit.Kelvin)]
    [InlineData("60 %", 0.6, Unit.Fraction)]
    [InlineData("-0.5 ppm", -5e-7, Unit.Fraction)]
    [InlineData("15 ppm/K", 1.5e-5, Unit.PerKelvin)]
    [InlineData("0.02 %/K", 0.0002, Unit.PerKelvin)]
    [InlineData("-8 V/100 A", -0.08, Unit.VoltPerAmpere)]
    [InlineData("1.2 km", 1200, Unit.Metre)]
    [InlineData("1e-3 V", 0.001, Unit.Volt)]
    [InlineData("30\u00A0V", 30, Unit.Volt)]
    [InlineData("30\u202FV", 30, Unit.Volt)]
    public void A_quantity_is_its_number_times_its_prefix_rounded_once(string text, double value, Unit unit)
    {
        Assert.Null(QuantityText.Read(text, out var read));
        Assert.Equal(new Quantity(value, unit), read);
    }

    [Theory]
    [InlineData("1,5 V", "comma")]
    [InlineData("1,500 V", "comma")]
    [InlineData("1'500 V", "thousands separator")]
    [InlineData("1_500 V", "thousands separator")]
    [InlineData("1 500 V", "space between digits")]
    [InlineData("010 V", "begins with a zero")]
    [InlineData("1:30 min", "colon")]
    [InlineData(".5 V", "both sides of the point")]
    [InlineData("5. V", "both sides of the point")]
    [InlineData("1.2.3 V", "both sides of the point")]
    [InlineData("1e999 V", "beyond anything measured")]
    [InlineData("1e-999 V", "beyond anything measured")]
    [InlineData("1e9999 V", "exponent")]
    [InlineData("2e50 V", "between 1 × 10⁻¹⁸ and 1 × 10¹⁸")]
    [InlineData("0x10 V", "unit `x10 V`")]
    [InlineData("nan V", "does not begin with a number")]
    [InlineData(".nan", "does not begin")]
    [InlineData("inf A", "does not begin with a number")]
    [InlineData("-inf A", "does not begin with a number")]
    [InlineData("30", "bare number")]
    [InlineData("", "does not begin with a number")]
    [InlineData("V", "does not begin with a number")]
    [InlineData("30 volts", "Write `30 V`")]
    [InlineData("30 v", "Write `30 V`")]
    [InlineData("300 amps", "Write `300 A`")]
    [InlineData("5 sec", "Write `5 s`")]
    [InlineData("20 C", "Write `20 \u00B0C`")]
    [InlineData("1 h 30 min", "not known here")]
    [InlineData("400 furlongs", "not known here")]
    [InlineData("30 V A", "not known here")]
    [InlineData("3 kmin", "not known here")]
    public void What_is_not_a_quantity_is_refused_with_its_own_reason(string text, string reason)
    {
        var why = QuantityText.Read(text, out var read);
        Assert.Contains(reason, why, StringComparison.Ordinal);
        Assert.Equal(default, read);
    }

    [Theory]
    [InlineData("115 % of rated current", 1.15, BaseName.RatedCurrent)]
    [InlineData("rated current", 1, BaseName.RatedCurrent)]
    [InlineData("0.5% of maximum setting", 0.005, BaseName.MaximumSetting)]
    public void A_percentage_keeps_what_it_is_of(string text, double value, BaseName of)
    {
        var rule = new AmountRule([Unit.Ampere], [BaseName.RatedCurrent, BaseName.MaximumSetting], false, "30 A");
        Assert.Null(AmountText.Read(text, Here, rule, out var read));
        Assert.Equal(new Amount(value, Unit.Fraction, of, Here), read);
    }

    [Theory]
    [InlineData("25 %", "does not say of what")]
    [InlineData("25 % of rated curent", "Did you mean `rated current`?")]
    [InlineData("25 % of rated power", "cannot be used here")]
    [InlineData("25 A of rated current", "belongs after a percentage")]
    [InlineData("25 V", "is in V; allowed here: A")]
    [InlineData("rated voltage", "cannot be used here")]
    [InlineData("lots", "neither a number")]
    public void An_amount_that_does_not_fit_is_refused(string text, string reason)
    {
        var rule = new AmountRule([Unit.Ampere], [BaseName.RatedCurrent], false, "30 A");
        Assert.Contains(reason, AmountText.Read(text, Here, rule, out _), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("62 V to 80 V", LimitForm.Range)]
    [InlineData("72 V \u00B1 5 %", LimitForm.PlusMinus)]
    [InlineData("72 V +/- 2 V", LimitForm.PlusMinus)]
    [InlineData("rated voltage \u00B1 1 V", LimitForm.PlusMinus)]
    [InlineData("0 V \u00B1 2 % of rated voltage", LimitForm.PlusMinus)]
    [InlineData("at most 80 V", LimitForm.AtMost)]
    [InlineData("at least 90 % of rated voltage", LimitForm.AtLeast)]
    public void A_limit_is_read_in_each_of_its_forms(string text, LimitForm form)
    {
        Assert.Null(LimitText.Read(text, Here, [Unit.Volt], [BaseName.RatedVoltage], "62 V to 80 V", out var limit));
        Assert.Equal(form, limit!.Form);
        Assert.Equal(text, limit.Text);
        Assert.Equal(form is LimitForm.Range or LimitForm.PlusMinus, limit.Second is not null);
    }

    [Theory]
    [InlineData("80 V to 62 V", "Write the smaller first")]
    [InlineData("62 V to 62 V", "Write the smaller first")]
    [InlineData("62 to 80 V", "unit on one side only")]
    [InlineData("62 V to 80 A", "is in A; allowed here: V")]
    [InlineData("0 V \u00B1 5 %", "percentage of zero")]
    [InlineData("72 V \u00B1 0 V", "above zero")]
    [InlineData("72 V \u00B1 -1 V", "above zero")]
    [InlineData("\u00B1 5 V", "no nominal")]
    [InlineData("5 %", "is not a limit")]
    [InlineData("72 V", "is not a limit")]
    [InlineData("at most 5 %", "does not say of what")]
    [InlineData("62 V to 70 V to 80 V", "is not a limit")]
    [InlineData("< 80 V", "is not a limit")]
    public void A_limit_that_could_not_judge_is_refused(string text, string reason)
    {
        var why = LimitText.Read(text, Here, [Unit.Volt], [BaseName.RatedVoltage], "62 V to 80 V", out var limit);
        Assert.Contains(reason, why, StringComparison.Ordinal);
        Assert.Null(limit);
    }

    [Theory]
    [InlineData("ouput curent", "output current")]
    [InlineData("Output-Current", "output current")]
    [InlineData("setle", "settle")]
    [InlineData("frobnicate", null)]
    public void The_nearest_known_word_is_said_only_when_it_is_near(string written, string? near) =>
        Assert.Equal(near, NearestWord.Of(written, ["output voltage", "output current", "settle", "trip"]));
}
