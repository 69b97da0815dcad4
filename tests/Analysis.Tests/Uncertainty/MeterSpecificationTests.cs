using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Uncertainty;

public class MeterSpecificationTests
{
    // Invented meter; the arithmetic is JCGM 100:2008, 4.3.7, worked by hand beside each check.
    private static readonly MeterRange Range = new()
    {
        FullScale = 100,
        LargestIndication = 120,
        PercentOfReading = 0.05,
        PercentOfRange = 0.02,
        Counts = 2,
        CountSize = 0.001,
        PercentOfReadingPerKelvin = 0.005,
        PercentOfRangePerKelvin = 0.001,
    };

    private static readonly MeterSpecification Meter = new()
    {
        Meter = "DMM-1",
        Unit = "mV",
        Ranges = [Range, Range with { FullScale = 1000, LargestIndication = 1200, CountSize = 0.01 }],
        ValidDays = 365,
        WarmUpMinutes = 30,
    };

    private static readonly MeterConditions Good = new(23, 100, 60);

    [Fact]
    public void Percent_of_reading_percent_of_range_and_counts_add_up()
    {
        // 0.05 % of 50 = 0.025; 0.02 % of 100 = 0.020; 2 × 0.001 = 0.002; sum 0.047 mV; /√3 = 0.027135.
        var found = Meter.At(-50, Range, Good);
        Assert.Equal(0.047, found.HalfWidth, 12);
        Assert.Equal(0.047 / Math.Sqrt(3), found.StandardUncertainty!.Value, 12);
        Assert.Empty(found.Findings);
    }

    [Fact]
    public void A_normal_specification_is_divided_by_its_coverage_factor()
    {
        var found = (Meter with { Distribution = Distribution.Normal, CoverageFactor = 2 }).At(50, Range, Good);
        Assert.Equal(0.0235, found.StandardUncertainty!.Value, 12);
        Assert.Equal(2, found.ToInput("meter").Divisor);
    }

    [Fact]
    public void Outside_the_temperature_band_the_coefficient_is_added_for_each_kelvin()
    {
        // 33 °C is 5 K above 28 °C: 5 × (0.005 % of 50 + 0.001 % of 100) = 5 × 0.0035 = 0.0175 mV more.
        Assert.Equal(0.047 + 0.0175, Meter.At(50, Range, Good with { AmbientCelsius = 33 }).HalfWidth, 12);
    }

    [Fact]
    public void What_the_specification_does_not_cover_has_no_uncertainty()
    {
        var old = Meter.At(50, Range, Good with { DaysSinceCalibration = 400 });
        Assert.Null(old.StandardUncertainty);
        Assert.Contains("35 days beyond", old.Findings[0], StringComparison.Ordinal);
        Assert.Throws<InvalidOperationException>(() => old.ToInput("meter"));

        Assert.Null(Meter.At(50, Range, Good with { MinutesSinceSwitchOn = 10 }).StandardUncertainty);
        Assert.Null(Meter.At(50, Range, Good with { DaysSinceCalibration = null }).StandardUncertainty);
        var bare = Range with { PercentOfReadingPerKelvin = 0, PercentOfRangePerKelvin = 0 };
        Assert.Null(Meter.At(50, bare, Good with { AmbientCelsius = 5 }).StandardUncertainty);
    }

    [Fact]
    public void Age_and_warm_up_are_added_where_the_sheet_gives_them()
    {
        var known = Meter with { PercentOfReadingPerYear = 0.04, PercentOfReadingCold = 0.1 };
        // 73.05 days beyond is a fifth of a year: 0.2 × 0.04 % of 50 = 0.004 mV; cold 0.1 % of 50 = 0.05 mV.
        var found = known.At(50, Range, new(23, 365 + 73.05, 5));
        Assert.Equal(0.047 + 0.004 + 0.05, found.HalfWidth, 12);
    }

    [Fact]
    public void Unknown_temperature_is_said_and_not_hidden()
    {
        Assert.Contains(
            "temperature at the meter is not known",
            Meter.At(50, Range, Good with { AmbientCelsius = null }).Findings[0],
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(121)]
    [InlineData(9.9e37)]
    public void An_overload_is_not_a_reading(double indication)
    {
        Assert.Throws<ArgumentException>(() => Meter.At(indication, Range, Good));
    }

    [Fact]
    public void The_smallest_range_that_shows_the_indication_is_found()
    {
        Assert.Equal(100, Meter.RangeFor(119)!.FullScale);
        Assert.Equal(1000, Meter.RangeFor(-121)!.FullScale);
        Assert.Null(Meter.RangeFor(1201));
    }
}
