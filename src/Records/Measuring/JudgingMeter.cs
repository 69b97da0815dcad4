using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Measuring;

/// <summary>The meter behind a judging channel: its certificate's correction and the budget lines of one averaged window.</summary>
internal sealed class JudgingMeter
{
    private readonly InputDefinition _input;
    private readonly MeterSpecification _specification;
    private readonly CertificatePoint[] _points;
    private readonly MeterConditions _conditions;
    private readonly string _name;
    private readonly Channel? _channel;

    /// <summary>The meter of a channel on the day of the run.</summary>
    public JudgingMeter(Bench bench, Channel channel, DateOnly day)
        : this(
            bench.Instrument(channel.InstrumentId),
            bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input),
            channel.Name,
            day
        ) => _channel = channel;

    /// <summary>A meter that a person reads.</summary>
    public JudgingMeter(HandReading meter, DateOnly day)
        : this(meter.Instrument, meter.Input, $"{meter.Instrument.Id} {meter.Input.Name}", day) { }

    private JudgingMeter(BenchInstrument instrument, InputDefinition input, string name, DateOnly day)
    {
        _name = name;
        Instrument = instrument;
        _input = input;
        _specification = MeterSheet.Of(_input, Instrument.Id);
        _conditions = new MeterConditions(
            DaysSinceCalibration: Instrument.Certificate is { } c ? Math.Max(0, day.DayNumber - c.Date.DayNumber) : null
        );
        _points =
        [
            .. (Instrument.Certificate?.Points ?? [])
                .Where(p => p.Input is null || p.Input == _input.Name)
                .OrderBy(p => p.At.Value),
        ];
    }

    /// <summary>The channel.</summary>
    /// <exception cref="InvalidOperationException">A person reads it.</exception>
    public Channel Channel =>
        _channel ?? throw new InvalidOperationException($"{_name} is read by a person and has no channel.");

    /// <summary>The instrument on the bench.</summary>
    public BenchInstrument Instrument { get; }

    /// <summary>Smallest step of the indication, in the input's unit.</summary>
    public double Resolution => _input.Resolution;

    /// <summary>Whether the specification says something about an indication this large.</summary>
    public bool Covers(double indication) => Math.Abs(indication) <= _input.Range * MeterSheet.LargestOfRange;

    /// <summary>Correction to add to an indication, with its budget lines; zero and none where there is no certificate.</summary>
    /// <remarks>Straight between the certificate's points; half of what two neighbours differ by is the rectangle of that
    /// (common practice, no source). Beyond the last point its correction holds unchanged.</remarks>
    public double Correction(double indication, List<UncertaintyInput> lines)
    {
        if (_points.Length == 0)
            return 0;
        var after = Array.FindIndex(_points, p => p.At.Value >= indication);
        if (after <= 0)
            return One(after == 0 ? _points[0] : _points[^1], lines);
        var (low, high) = (_points[after - 1], _points[after]);
        var part = (indication - low.At.Value) / (high.At.Value - low.At.Value);
        var nearest = part < 0.5 ? low : high;
        One(nearest, lines);
        var apart = Math.Abs(high.Correction.Value - low.Correction.Value);
        if (apart > 0)
            lines.Add(Line("between certificate points", Component.Interpolation, apart / 2) with { SharedBy = Range });
        return low.Correction.Value + part * (high.Correction.Value - low.Correction.Value);
    }

    /// <summary>The budget lines of a window apart from its certificate: scatter, specification, resolution.</summary>
    /// <exception cref="ArgumentException">The indication is over the range.</exception>
    public void AddLines(
        WindowMean window,
        double halfRange,
        List<UncertaintyInput> lines,
        List<string> findings,
        List<string> assumptions
    )
    {
        var scatter = $"scatter of {window.Count} readings";
        if (window.Estimate is not null)
            lines.Add(UncertaintyInput.FromWindow($"{_name}: {scatter}", window) with { Instrument = Instrument.Id });
        else
        {
            lines.Add(Line(scatter, Component.Repeatability, halfRange));
            findings.Add(
                $"{_name}: {window.Count} readings worth {window.EffectiveCount:0.#} independent ones; half their range stands in the budget instead of their scatter."
            );
        }
        var specification = _specification.At(window.Mean, _specification.Ranges[0], _conditions);
        assumptions.AddRange(specification.Findings);
        foreach (var part in specification.Parts)
        {
            var line = Line(part.Name, part.Component, part.HalfWidth);
            lines.Add(part.Component == Component.Linearity ? line : line with { SharedBy = Range });
        }
        lines.Add(Read(Resolution));
    }

    /// <summary>The budget lines of one indication alone, apart from its certificate: specification as one, and readability.</summary>
    /// <param name="indication">What is shown, in the input's unit.</param>
    /// <param name="readability">Smallest step that was read, in the input's unit.</param>
    /// <exception cref="ArgumentException">The indication is over the range.</exception>
    public void AddReading(
        double indication,
        double readability,
        List<UncertaintyInput> lines,
        List<string> assumptions
    )
    {
        var specification = _specification.At(indication, _specification.Ranges[0], _conditions);
        assumptions.AddRange(specification.Findings);
        lines.Add(Line("specification", Component.Specification, specification.HalfWidth));
        lines.Add(Read(readability));
    }

    /// <summary>Half-width of what the meter may change within a run at one indication, in the input's unit.</summary>
    /// <remarks>A tenth of what its sheet allows in a year: house rule, no source.</remarks>
    public double Stability(double indication) =>
        MeterSpecification.ShortTermPart
        * _specification.At(indication, _specification.Ranges[0], _conditions).HalfWidth;

    /// <summary>Standard uncertainty of one reading by specification and resolution, in the input's unit.</summary>
    public double StandardUncertainty(double indication)
    {
        var parts = _specification.At(indication, _specification.Ranges[0], _conditions).Parts;
        var step = Resolution / 2;
        return Math.Sqrt((parts.Sum(p => p.HalfWidth * p.HalfWidth) + step * step) / 3);
    }

    private UncertaintyInput Read(double step) =>
        UncertaintyInput.FromResolution($"{_name}: resolution", step) with
        {
            Instrument = Instrument.Id,
        };

    private double One(CertificatePoint point, List<UncertaintyInput> lines)
    {
        lines.Add(
            UncertaintyInput.FromExpanded(
                $"{_name}: certificate",
                value: 0,
                point.Expanded.Value,
                point.CoverageFactor
            ) with
            {
                Component = Component.Certificate,
                Instrument = Instrument.Id,
                SharedBy = Range,
            }
        );
        return point.Correction.Value;
    }

    // One input of one instrument is one range with one gain.
    private string Range => $"{Instrument.Id} {_input.Name}";

    private UncertaintyInput Line(string name, Component component, double halfWidth) =>
        UncertaintyInput.FromHalfWidth($"{_name}: {name}", value: 0, halfWidth) with
        {
            Component = component,
            Instrument = Instrument.Id,
        };
}
