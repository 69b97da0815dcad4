namespace LoadTest.Analysis.Uncertainty;

/// <summary>A meter's accuracy specification, and what it says about one indication.</summary>
/// <remarks>JCGM 100:2008, 4.3.7: limits from a data sheet with nothing known between them are a rectangle.</remarks>
public sealed record MeterSpecification
{
    private const double DaysPerYear = 365.25;

    /// <summary>Part of percent of range and counts that is taken to change along the range where a sheet does not say.</summary>
    /// <remarks>House rule, no source: sheets give the offset and the departure from a straight line as one figure.</remarks>
    public const double UsualLinearityShare = 0.5;

    /// <summary>Part of its limits that a meter is taken to change within a run: house rule, no source.</summary>
    public const double ShortTermPart = 0.1;

    /// <summary>Name of the meter, used in budgets and findings.</summary>
    public required string Meter { get; init; }

    /// <summary>Unit of the ranges and of indications.</summary>
    public required string Unit { get; init; }

    /// <summary>Ranges, any order, at least one.</summary>
    public required IReadOnlyList<MeterRange> Ranges { get; init; }

    /// <summary>Shape between the limits; normal only with <see cref="CoverageFactor"/>.</summary>
    public Distribution Distribution { get; init; } = Distribution.Rectangular;

    /// <summary>Coverage factor when the data sheet states one (a normal specification), above zero.</summary>
    public double CoverageFactor { get; init; } = 2;

    /// <summary>Part of percent of range and counts that changes along the range, 0 to 1; the rest is an offset that a zero reading takes off.</summary>
    public double LinearityShare { get; init; } = UsualLinearityShare;

    /// <summary>Lower end of the temperature band the specification holds in, °C.</summary>
    public double BandLowCelsius { get; init; } = 18;

    /// <summary>Upper end of the temperature band, °C.</summary>
    public double BandHighCelsius { get; init; } = 28;

    /// <summary>Days after calibration the specification holds for; null when it names none.</summary>
    public double? ValidDays { get; init; }

    /// <summary>Percent of reading added for each year beyond <see cref="ValidDays"/>; null when the sheet gives none.</summary>
    public double? PercentOfReadingPerYear { get; init; }

    /// <summary>Warm-up time, minutes; zero when none is named.</summary>
    public double WarmUpMinutes { get; init; }

    /// <summary>Percent of reading added before the warm-up is over; null when the sheet gives none.</summary>
    public double? PercentOfReadingCold { get; init; }

    /// <summary>The smallest range that can show an indication, or null when none can.</summary>
    /// <param name="indication">Indication, finite.</param>
    public MeterRange? RangeFor(double indication) =>
        Ranges
            .Where(r => Math.Abs(Guard.Finite(indication, Meter, "indication")) <= (r.LargestIndication ?? r.FullScale))
            .MinBy(r => r.FullScale);

    /// <summary>Limit of error and standard uncertainty of one indication.</summary>
    /// <param name="indication">Indication in <see cref="Unit"/>, any sign, finite.</param>
    /// <param name="range">Range it was read on.</param>
    /// <param name="conditions">Temperature, age and warm-up; what is unknown becomes a finding.</param>
    /// <returns>Half-width by part and u; u is null when the specification does not cover the conditions.</returns>
    /// <exception cref="ArgumentException">NaN, infinite, over the range, or the specification itself is wrong.</exception>
    /// <remarks>
    /// a = %rdg·|x| + %rng·FS + counts·size + beyond the band (%rdg + %rng) per kelvin + age + warm-up, added linearly
    /// because data sheets give them as limits that may all hold at once (common practice, no source); u = a/√3 by
    /// JCGM 100:2008, 4.3.7. A budget that takes the parts as lines of their own adds their squares: gain, offset and linearity are
    /// different errors. Worked number: 50.000 mV on 100 mV, ± (0.05 % + 0.02 % + 2 counts of 0.001 mV) is
    /// a = 0.025 + 0.020 + 0.002 = 0.047 mV, u = 0.0271 mV.
    /// </remarks>
    public MeterUncertainty At(double indication, MeterRange range, MeterConditions conditions = default)
    {
        Guard.Finite(indication, Meter, "indication");
        Check(range, indication);
        var ofRange = range.PercentOfRange / 100 * range.FullScale + range.Counts * range.CountSize;
        var parts = new List<MeterUncertaintyPart>
        {
            new(Component.Gain, "gain", range.PercentOfReading / 100 * Math.Abs(indication)),
            new(Component.Offset, "offset", ofRange * (1 - LinearityShare)),
            new(Component.Linearity, "linearity", ofRange * LinearityShare),
        };
        var findings = new List<string>();
        var covered =
            Temperature(indication, range, conditions, parts, findings)
            & Age(indication, conditions, parts, findings)
            & WarmUp(indication, conditions, parts, findings);
        parts.RemoveAll(p => p.HalfWidth == 0);
        var halfWidth = parts.Sum(p => p.HalfWidth);
        double? u = covered ? halfWidth / Divisor : null;
        return new(this, indication, halfWidth, u, parts, findings);
    }

    internal double Divisor => Distribution == Distribution.Normal ? CoverageFactor : Distribution.Divisor();

    private void Check(MeterRange range, double indication)
    {
        ArgumentNullException.ThrowIfNull(range);
        range.Check();
        Guard.Positive(CoverageFactor, Meter, "coverage factor of the specification");
        Guard.Require(
            LinearityShare is >= 0 and <= 1,
            $"{Meter}: {LinearityShare} of the range's term is taken as linearity; it must be 0 to 1."
        );
        Guard.Finite(BandLowCelsius, Meter, "lower end of the temperature band in °C");
        Guard.Finite(BandHighCelsius, Meter, "upper end of the temperature band in °C");
        Guard.NotNegative(WarmUpMinutes, Meter, "warm-up time in min");
        Guard.Positive(ValidDays ?? 1, Meter, "number of days the specification holds for");
        Guard.NotNegative(PercentOfReadingPerYear ?? 0, Meter, "percent of reading per year");
        Guard.NotNegative(PercentOfReadingCold ?? 0, Meter, "percent of reading before the warm-up is over");
        Guard.Require(
            BandLowCelsius <= BandHighCelsius,
            $"{Meter}: the temperature band is {BandLowCelsius} °C to {BandHighCelsius} °C; the lower end must come first."
        );
        var largest = range.LargestIndication ?? range.FullScale;
        if (Math.Abs(indication) > largest)
            throw new ArgumentException(
                $"{Meter}: {Figures.Of(indication, 6)} {Unit} on the {Figures.Of(range.FullScale, 6)} {Unit} range, which shows at most {Figures.Of(largest, 6)} {Unit}. An overload is not a reading; use a higher range.",
                nameof(indication)
            );
    }

    private bool Temperature(
        double indication,
        MeterRange range,
        MeterConditions conditions,
        List<MeterUncertaintyPart> parts,
        List<string> findings
    )
    {
        if (conditions.AmbientCelsius is not { } ambient)
        {
            findings.Add($"{Meter}: the temperature at the meter is not known; taken as within {Band}.");
            return true;
        }
        Guard.Finite(ambient, Meter, "temperature");
        var outside = Math.Max(0, Math.Max(BandLowCelsius - ambient, ambient - BandHighCelsius));
        if (outside == 0)
            return true;
        if (range.PercentOfReadingPerKelvin == 0 && range.PercentOfRangePerKelvin == 0)
        {
            findings.Add(
                $"{Meter}: {Figures.Of(ambient, 4)} °C is {Figures.Of(outside, 3)} K outside {Band} and the specification gives no temperature coefficient. Cool or warm the meter, or give its coefficient."
            );
            return false;
        }
        parts.Add(
            new(
                Component.Temperature,
                $"temperature, {Figures.Of(outside, 3)} K outside {Band}",
                outside
                    / 100
                    * (
                        range.PercentOfReadingPerKelvin * Math.Abs(indication)
                        + range.PercentOfRangePerKelvin * range.FullScale
                    )
            )
        );
        return true;
    }

    private bool Age(
        double indication,
        MeterConditions conditions,
        List<MeterUncertaintyPart> parts,
        List<string> findings
    )
    {
        if (ValidDays is not { } valid)
            return true;
        if (conditions.DaysSinceCalibration is not { } days)
        {
            findings.Add(
                $"{Meter}: no calibration date, and the specification holds for {Figures.Of(valid, 4)} days after one."
            );
            return false;
        }
        Guard.NotNegative(days, Meter, "age of the calibration in days");
        if (days <= valid)
            return true;
        if (PercentOfReadingPerYear is not { } perYear)
        {
            findings.Add(
                $"{Meter}: calibrated {Figures.Of(days, 4)} days ago, {Figures.Of(days - valid, 4)} days beyond the {Figures.Of(valid, 4)} the specification holds for, and it gives no drift. Have the meter calibrated."
            );
            return false;
        }
        Guard.NotNegative(perYear, Meter, "drift per year");
        parts.Add(
            new(
                Component.Drift,
                $"age, {Figures.Of(days - valid, 4)} days beyond {Figures.Of(valid, 4)}",
                perYear / 100 * Math.Abs(indication) * (days - valid) / DaysPerYear
            )
        );
        return true;
    }

    private bool WarmUp(
        double indication,
        MeterConditions conditions,
        List<MeterUncertaintyPart> parts,
        List<string> findings
    )
    {
        if (WarmUpMinutes <= 0)
            return true;
        if (conditions.MinutesSinceSwitchOn is not { } minutes)
        {
            findings.Add(
                $"{Meter}: time since switch-on is not known; taken as longer than {Figures.Of(WarmUpMinutes, 3)} min."
            );
            return true;
        }
        Guard.NotNegative(minutes, Meter, "time since switch-on");
        if (minutes >= WarmUpMinutes)
            return true;
        if (PercentOfReadingCold is not { } cold)
        {
            findings.Add(
                $"{Meter}: on for {Figures.Of(minutes, 3)} min of the {Figures.Of(WarmUpMinutes, 3)} min it needs to warm up, and the specification says nothing about before. Wait."
            );
            return false;
        }
        Guard.NotNegative(cold, Meter, "percent of reading before warm-up");
        parts.Add(
            new(
                Component.WarmUp,
                $"warm-up, {Figures.Of(minutes, 3)} of {Figures.Of(WarmUpMinutes, 3)} min",
                cold / 100 * Math.Abs(indication)
            )
        );
        return true;
    }

    private string Band => $"{Figures.Of(BandLowCelsius, 3)} °C to {Figures.Of(BandHighCelsius, 3)} °C";
}
