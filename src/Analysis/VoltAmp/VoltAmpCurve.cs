using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>A volt-amp curve with its shape, the reason for it, and what can be read from it.</summary>
public sealed class VoltAmpCurve
{
    private readonly ReadingSet _set;
    private readonly CurveFit? _fit;
    private readonly VoltAmpOptions _options;
    private readonly ICurveTrace _trace;
    private readonly double _factor;
    private IReadOnlyList<CurveResult>? _results;
    private IReadOnlyList<CurvePoint>? _points;
    private IReadOnlyList<string>? _findings;

    internal VoltAmpCurve(
        ReadingSet set,
        CurveFit? fit,
        VoltAmpOptions options,
        string reason,
        IReadOnlyList<ModelCandidate> candidates
    )
    {
        _set = set;
        _fit = fit;
        _options = options;
        Reason = reason;
        Candidates = candidates;
        _trace = fit is null ? new InterpolatedTrace(set, options) : new FittedTrace(fit);
        _factor =
            fit is null || double.IsPositiveInfinity(fit.UncertaintyDegrees)
                ? StudentT.TwoSided(options.Coverage, double.PositiveInfinity)
                : StudentT.TwoSided(options.Coverage, fit.UncertaintyDegrees);
    }

    /// <summary>A curve no shape fits: nothing is said of it but what the readings themselves say.</summary>
    internal static VoltAmpCurve WithoutShape(
        ReadingSet set,
        VoltAmpOptions options,
        string reason,
        IReadOnlyList<ModelCandidate> candidates
    ) => new(set, null, options, reason, candidates) { IsWithoutShape = true };

    /// <summary>Whether shapes were weighed and none fits: only the measured open-circuit voltage and operating points between
    /// neighbouring readings are stated.</summary>
    public bool IsWithoutShape { get; private init; }

    /// <summary>The shape.</summary>
    public VoltAmpModel Model => _fit?.Model ?? VoltAmpModel.Interpolation;

    /// <summary>The shape in words, with what it says about the source.</summary>
    public string ModelName =>
        IsWithoutShape ? VoltAmpNames.NoShape
        : _fit is null ? VoltAmpNames.Of(Model)
        : VoltAmpNames.Full(_fit, KneeCorner);

    /// <summary>Why this shape, in words.</summary>
    public string Reason { get; }

    /// <summary>Every shape that was weighed; empty when one was asked for by name.</summary>
    public IReadOnlyList<ModelCandidate> Candidates { get; }

    /// <summary>Coverage probability of the bands.</summary>
    public double Coverage => _options.Coverage;

    /// <summary>Lowest measured current, A.</summary>
    public double LowestAmperes => _set.LowAmperes;

    /// <summary>Highest measured current, A.</summary>
    public double HighestAmperes => _set.HighAmperes;

    /// <summary>Everything read from the curve, in order of importance.</summary>
    public IReadOnlyList<CurveResult> Results => _results ??= CurveNumbers.Of(this, _set, _fit, _trace, _options);

    /// <summary>What a person should know about this curve, in words.</summary>
    public IReadOnlyList<string> Findings => _findings ??= CurveFindings.Of(this, _set, _fit);

    /// <summary>The readings seen from the curve, in the order given.</summary>
    public IReadOnlyList<CurvePoint> Points => _points ??= CurveFindings.PointsOf(_set, _fit);

    /// <summary>Parameters of the shape in volts and amperes, with uncertainties; empty for an interpolation.</summary>
    public IReadOnlyList<Estimate> Parameters =>
        _fit is null
            ? []
            :
            [
                .. _fit.Parameters.Select(
                    (v, i) => new Estimate(v, Math.Sqrt(_fit.Covariance(i, i)), _fit.UncertaintyDegrees)
                ),
            ];

    /// <summary>Open-circuit voltage, V; null when the curve does not reach no current.</summary>
    public CurveResult? OpenCircuitVoltage => Result(CurveNumbers.OpenCircuit);

    /// <summary>Short-circuit current, A; null when the curve does not reach no voltage.</summary>
    public CurveResult? ShortCircuitCurrent => Result(CurveNumbers.ShortCircuit);

    /// <summary>Names of the load lines asked for that the curve does not meet.</summary>
    internal IReadOnlyList<string> LinesNotMet =>
        [.. _options.LoadLines.Where(line => OperatingPoint(line) is null).Select(line => line.Name)];

    /// <summary>Weighted sum of squared distances of the readings used.</summary>
    internal double Squares => _fit?.Squares ?? 0;

    internal (double Amperes, double Volts)? KneeCorner => (_fit?.Shape as KneedShape)?.Knee(_fit!.Parameters);

    /// <summary>Volts at a current with the curve's standard uncertainty; null where the curve has no such current.</summary>
    /// <param name="amperes">Current, A, finite.</param>
    /// <remarks>The uncertainty is infinite for an interpolation of readings without stated uncertainties: it cannot be said.</remarks>
    public Estimate? Evaluate(double amperes)
    {
        FitInput.RequireFinite([amperes], nameof(amperes));
        return _trace.VoltsAt(amperes);
    }

    /// <summary>Whether a current lies outside what was measured by more than 1 % of the measured span.</summary>
    public bool IsExtrapolated(double amperes)
    {
        FitInput.RequireFinite([amperes], nameof(amperes));
        var margin = FittedTrace.Margin * _set.SpanAmperes;
        return amperes < _set.LowAmperes - margin || amperes > _set.HighAmperes + margin;
    }

    /// <summary>Interval in which the true curve lies at a current, V.</summary>
    public Interval? ConfidenceBand(double amperes) =>
        Evaluate(amperes) is { } volts ? Around(volts.Value, volts.StandardUncertainty) : null;

    /// <summary>Interval in which one further reading at this current falls, V; null for an interpolation, which has no scatter.</summary>
    public Interval? PredictionBand(double amperes)
    {
        FitInput.RequireFinite([amperes], nameof(amperes));
        if (_fit is null || _trace.Meet(1, 0, amperes) is not { } point)
        {
            return null;
        }

        var slope = _trace.SlopeAt(amperes)?.Value ?? 0;
        var scatter = 0.0;
        foreach (var reading in _set.Readings)
        {
            var (ua, uv) = (reading.AmperesUncertainty, reading.VoltsUncertainty);
            scatter += (uv * uv) + (slope * slope * ua * ua);
        }

        scatter *= _fit.VarianceScale / _set.Readings.Length;
        var u = point.Volts.StandardUncertainty;
        return Around(point.Volts.Value, Math.Sqrt((u * u) + scatter));
    }

    /// <summary>Where the curve meets a load line; null when it does not.</summary>
    /// <remarks>A source gives no more volts than open circuit or what was measured: a meeting above both, on a rising branch drawn on and
    /// on, is none. 60 V − 0.05 Ω · I meets 20 V + 0.04 Ω · I at 444.4 A, 37.8 V; with a level line of 65 V it never meets.</remarks>
    public OperatingPoint? OperatingPoint(LoadLine line)
    {
        ArgumentNullException.ThrowIfNull(line);
        var point = _trace.Meet(-line.VoltsPerAmpere, 1, line.Intercept);
        if (point is null || point.Value.Amperes.Value > line.LevelAbove)
        {
            point = double.IsFinite(line.LevelAbove) ? _trace.Meet(0, 1, line.Volts(line.LevelAbove)) : null;
            point = point is { } level && level.Amperes.Value >= line.LevelAbove ? point : null;
        }

        return point is { } found && found.Amperes.Value >= 0 && found.Volts.Value <= MostVolts(found)
            ? new OperatingPoint(line, found.Amperes, found.Volts, found.Power, found.IsExtrapolated)
            : null;
    }

    private double MostVolts(in Crossing found)
    {
        var room = Math.Max(FittedTrace.Margin * _set.SpanVolts, 3 * found.Volts.StandardUncertainty);
        var open = _trace.Meet(1, 0, 0) is { IsExtrapolated: false } none ? none.Volts.Value : _set.HighVolts;
        return Math.Max(open, _set.HighVolts) + Math.Min(room, 0.05 * _set.SpanVolts);
    }

    /// <summary>A result by its name; null when the curve does not have it.</summary>
    public CurveResult? Result(string name) =>
        Results.FirstOrDefault(r => string.Equals(r.Name, name, StringComparison.Ordinal));

    private Interval Around(double centre, double u) =>
        new(centre - (_factor * u), centre + (_factor * u), _options.Coverage);
}
