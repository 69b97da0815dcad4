using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>The readings of one curve, checked, with the errors each axis is taken to have.</summary>
internal sealed class ReadingSet
{
    /// <summary>Largest ratio between uncertainties of one axis that is believed.</summary>
    private const double WidestRatio = 1e6;

    private readonly double _voltsDigit;
    private readonly double _amperesDigit;

    private ReadingSet(
        CurveShape.Reading[] readings,
        bool known,
        bool amperesExact,
        double voltsDigit = 0,
        double amperesDigit = 0
    )
    {
        (_voltsDigit, _amperesDigit) = (voltsDigit, amperesDigit);
        Readings = readings;
        IsKnown = known;
        AmperesExact = amperesExact;
        (LowAmperes, HighAmperes) = Range(readings, r => r.Amperes);
        (LowVolts, HighVolts) = Range(readings, r => r.Volts);
    }

    public CurveShape.Reading[] Readings { get; }

    /// <summary>Whether uncertainties were stated.</summary>
    public bool IsKnown { get; }

    /// <summary>Whether the amperes carry no uncertainty of their own.</summary>
    public bool AmperesExact { get; }

    public double LowAmperes { get; }

    public double HighAmperes { get; }

    public double LowVolts { get; }

    public double HighVolts { get; }

    public double SpanAmperes => HighAmperes - LowAmperes;

    public double SpanVolts => HighVolts > LowVolts ? HighVolts - LowVolts : Math.Max(Math.Abs(HighVolts), 1e-9);

    /// <summary>Least squared distance a reading can be told by: its last digit's, in the units of this set; 0 where it is not known.</summary>
    /// <remarks>A rectangle one digit wide has the variance digit²/12.</remarks>
    public double DigitVariance
    {
        get
        {
            var volts = _voltsDigit * _voltsDigit / (12 * SpanVolts * SpanVolts);
            var amperes = _amperesDigit * _amperesDigit / (12 * SpanAmperes * SpanAmperes);
            return IsKnown ? 0
                : AmperesExact ? volts + amperes
                : Math.Max(volts, amperes);
        }
    }

    /// <summary>Checks the points and, where no uncertainty was stated, takes equal fractions of each axis's span.</summary>
    /// <exception cref="ArgumentException">Too few points, a value that is no reading, all currents equal, or uncertainties mixed or absurd.</exception>
    public static ReadingSet Of(IReadOnlyList<VoltAmpPoint> points, VoltAmpOptions options)
    {
        FitInput.RequireCount(points.Count, 2, "A volt-amp curve");
        var readings = new CurveShape.Reading[points.Count];
        var known = points[0].VoltsUncertainty is not null;
        var exact = points[0].AmperesUncertainty is null;
        for (var i = 0; i < readings.Length; i++)
        {
            var point = points[i];
            RequireReading(point.Amperes, i, "A");
            RequireReading(point.Volts, i, "V");
            if (known != point.VoltsUncertainty is not null || exact != point.AmperesUncertainty is null)
            {
                throw new ArgumentException(
                    $"Point {i + 1}: uncertainties are stated for some points and not for others. State them for all or for none.",
                    nameof(points)
                );
            }

            var (ua, uv) = (point.AmperesUncertainty ?? 0, point.VoltsUncertainty ?? 1);
            RequireUncertainty(ua, i, "A", zeroAllowed: true);
            RequireUncertainty(uv, i, "V", zeroAllowed: false);
            readings[i] = new CurveShape.Reading(point.Amperes, point.Volts, ua, uv);
        }

        if (!known && !exact)
        {
            throw new ArgumentException(
                "Uncertainties are stated for the amperes and not for the volts. State both, the volts alone, or neither.",
                nameof(points)
            );
        }

        RequireRatio(readings, r => r.VoltsUncertainty, "V");
        RequireRatio(readings, r => r.AmperesUncertainty, "A");
        var zero = readings.Count(r => r.AmperesUncertainty == 0);
        if (zero != 0 && zero != readings.Length)
        {
            throw new ArgumentException(
                $"{zero} of {readings.Length} points state 0 A uncertainty and the others more. State one above 0 for all, or none.",
                nameof(points)
            );
        }

        var set = new ReadingSet(
            readings,
            known,
            known && zero == readings.Length,
            options.VoltsDigit,
            options.AmperesDigit
        );
        if (!(set.SpanAmperes > 0))
        {
            throw new ArgumentException(
                $"All {readings.Length} currents are {Figures.With(readings[0].Amperes, "A")}: a curve needs at least two different ones.",
                nameof(points)
            );
        }

        return known ? set : set.WithEqualFractions(exactAmperes: false);
    }

    /// <summary>Some of the readings under the same assumptions; null when no curve is left.</summary>
    public ReadingSet? Only(CurveShape.Reading[] kept)
    {
        var smaller = kept.Length < 2 ? null : new ReadingSet(kept, IsKnown, AmperesExact, _voltsDigit, _amperesDigit);
        return smaller?.SpanAmperes > 0 ? smaller : null;
    }

    /// <summary>The same readings with each axis's errors an equal fraction of its span, or all of them in the volts.</summary>
    public ReadingSet WithEqualFractions(bool exactAmperes)
    {
        var (ua, uv) = (exactAmperes ? 0 : SpanAmperes, SpanVolts);
        var scaled = new CurveShape.Reading[Readings.Length];
        for (var i = 0; i < scaled.Length; i++)
        {
            scaled[i] = new CurveShape.Reading(Readings[i].Amperes, Readings[i].Volts, ua, uv);
        }

        return new ReadingSet(scaled, known: false, exactAmperes, _voltsDigit, _amperesDigit);
    }

    private static (double Low, double High) Range(
        CurveShape.Reading[] readings,
        Func<CurveShape.Reading, double> value
    )
    {
        var (low, high) = (double.PositiveInfinity, double.NegativeInfinity);
        foreach (var reading in readings)
        {
            low = Math.Min(low, value(reading));
            high = Math.Max(high, value(reading));
        }

        return (low, high);
    }

    private static void RequireReading(double value, int index, string unit)
    {
        if (!Given.IsNumber(value))
        {
            throw new ArgumentException(
                $"Point {index + 1}: {Figures.Of(value, 6)} {unit} is no reading (missing or overload). Leave the point out or measure it again.",
                nameof(value)
            );
        }
    }

    private static void RequireUncertainty(double value, int index, string unit, bool zeroAllowed)
    {
        if (!(zeroAllowed ? value >= 0 : value > 0) || !Given.IsNumber(value))
        {
            throw new ArgumentException(
                $"Point {index + 1}: a standard uncertainty of {Figures.Of(value, 6)} {unit} is stated; it must be finite and above 0 {unit}.",
                nameof(value)
            );
        }
    }

    private static void RequireRatio(CurveShape.Reading[] readings, Func<CurveShape.Reading, double> value, string unit)
    {
        var (low, high) = Range(readings, value);
        if (low > 0 && high > WidestRatio * low)
        {
            throw new ArgumentException(
                $"Uncertainties from {Figures.Of(low, 3)} {unit} to {Figures.Of(high, 3)} {unit} differ by more than {Figures.Of(WidestRatio, 1)}. Check their units.",
                nameof(readings)
            );
        }
    }
}
