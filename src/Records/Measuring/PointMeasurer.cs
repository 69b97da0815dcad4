using System.Collections.Immutable;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Measuring;

/// <summary>Turns the raw readings of a journal into measured points, each with its budgets.</summary>
internal sealed class PointMeasurer
{
    private const double MilliPerOne = 1000;
    private readonly Bench _bench;
    private readonly DateOnly _day;
    private readonly double _coverage;
    private readonly IReadOnlyList<ChannelReadings> _readings;
    private readonly List<string> _assumptions = [];
    private readonly Dictionary<int, PointMeasured> _windows = [];
    private readonly Dictionary<(int Step, HandAction Action), double> _panel = [];
    private readonly StepTimes _times;

    /// <summary>Reads what the journal says about points.</summary>
    public PointMeasurer(Bench bench, IReadOnlyList<JournalEntry> entries, DateOnly day, double coverage)
    {
        _bench = bench;
        _day = day;
        _coverage = coverage;
        _readings = ChannelReadings.Of(entries, bench.Channels.Length);
        _times = new StepTimes(entries);
        var step = 0;
        var asked = new Dictionary<int, HandAction>();
        foreach (var entry in entries)
        {
            if (entry is StepStarted started)
                step = started.Step;
            else if (entry is PointMeasured window)
                _windows[window.Step] = window;
            else if (entry is Asked { Question: var question })
                asked[question.Number] = question.Action;
            else if (entry is Answered { Answer.Number: { } number } answered)
                _panel[(step, asked.GetValueOrDefault(answered.Question))] = number;
        }
    }

    /// <summary>What the budgets had to assume of meters and shunt, whole sentences.</summary>
    public IEnumerable<string> Assumptions => SentenceList.Of(_assumptions);

    /// <summary>Raw readings of the judging channel in a role; null when the bench has none.</summary>
    public ChannelReadings? Readings(ChannelRole role) =>
        Judging(role) is { } channel ? _readings[_bench.Channels.IndexOf(channel)] : null;

    /// <summary>The judging meter in a role; null when the bench has none.</summary>
    public JudgingMeter? Meter(ChannelRole role) =>
        Judging(role) is { } channel ? new JudgingMeter(_bench, channel, _day) : null;

    /// <summary>Rated ratio of the reference shunt, V/A.</summary>
    public double VoltsPerAmpere => _bench.ReferenceShunt.RatedVolts.Value / _bench.ReferenceShunt.RatedAmperes.Value;

    /// <summary>The bench's certified shunt.</summary>
    public CertifiedShunt Shunt => _bench.ReferenceShunt;

    /// <summary>When steps began and ended, what was switched in them, and temperatures taken on the way.</summary>
    public StepTimes Times => _times;

    /// <summary>Raw readings of one channel by its index on the bench, and its meter.</summary>
    public (ChannelReadings Readings, JudgingMeter Meter) Of(int channel) =>
        (_readings[channel], new JudgingMeter(_bench, _bench.Channels[channel], _day));

    /// <summary>Measures the points of one group; zero readings of the group are taken off the reference shunt's drop.</summary>
    /// <param name="steps">The points.</param>
    /// <param name="beside">What else is read at them.</param>
    public IReadOnlyList<MeasuredPoint> Measure(IReadOnlyList<PointStep> steps, params ChannelRole[] beside)
    {
        var zeros = ReferenceZeros(steps);
        return [.. steps.Select(s => Measure(s, zeros, beside))];
    }

    /// <summary>Mean of a role's readings between two times; null when there are none.</summary>
    public WindowMean? Mean(ChannelRole role, TimeSpan from, TimeSpan to) =>
        Readings(role)?.Between(from, to).Values is { Length: > 0 } values ? Averaging.Mean(values) : null;

    private MeasuredPoint Measure(
        PointStep step,
        IReadOnlyList<(double Seconds, double Volts)> zeros,
        ChannelRole[] beside
    )
    {
        var findings = new List<string>();
        var window = _windows.GetValueOrDefault(step.Number);
        Measured? volts = null,
            amperes = null,
            drop = null;
        var others = ImmutableDictionary.CreateBuilder<ChannelRole, Measured>();
        if (window is not null)
        {
            if (!window.HasSettled)
                findings.Add($"Step {step.Number} did not settle, and is not judged. {window.Words}");
            volts = Read(ChannelRole.StudVolts, "output voltage", window, findings);
            drop = Read(ChannelRole.UnitShuntDrop, "drop of the unit's shunt", window, findings);
            amperes = Amperes(window, step.IsZeroReading ? [] : zeros, findings);
            foreach (var role in beside)
            {
                if (Read(role, BesideRoles.Word(role), window, findings) is { } other)
                    others[role] = other;
            }
        }
        return new MeasuredPoint(
            step,
            window,
            volts,
            amperes,
            drop,
            Panel(step, HandAction.ReadPanelAmperes),
            Panel(step, HandAction.ReadPanelVolts),
            [.. findings]
        )
        {
            Beside = others.ToImmutable(),
        };
    }

    private double? Panel(PointStep step, HandAction action) =>
        _panel.TryGetValue((step.Number, action), out var value) ? value : null;

    private Channel? Judging(ChannelRole role) =>
        _bench.Channels.FirstOrDefault(c => c.Role == role && !c.IsFast) ?? _bench.ChannelFor(role);

    private Measured? Read(ChannelRole role, string measurand, PointMeasured window, List<string> findings)
    {
        if (Meter(role) is not { } meter || WindowOf(meter, window, findings) is not (var mean, var halfRange))
            return null;
        var lines = new List<UncertaintyInput>();
        meter.AddLines(mean, halfRange, lines, findings, _assumptions);
        var scatter = Scatter(lines);
        var value = mean.Mean + meter.Correction(mean.Mean, lines);
        return new Measured(
            Budget.Linear(measurand, BesideRoles.Symbol(role), value, lines, null, _coverage),
            mean,
            scatter
        );
    }

    private Measured? Amperes(
        PointMeasured window,
        IReadOnlyList<(double Seconds, double Volts)> zeros,
        List<string> findings
    )
    {
        if (
            Meter(ChannelRole.ReferenceShuntDrop) is not { } meter
            || WindowOf(meter, window, findings) is not (var mean, var halfRange)
        )
            return null;
        var lines = new List<UncertaintyInput>();
        meter.AddLines(mean, halfRange, lines, findings, _assumptions);
        var scatter = Scatter(lines);
        var volts = mean.Mean + meter.Correction(mean.Mean, lines) - ZeroAt(zeros, Middle(window));
        ZeroTaken(meter, zeros, lines);
        var shunt = _bench.ReferenceShunt;
        var current = ReferenceShuntModel
            .Of(shunt)
            .CurrentFrom(
                volts * MilliPerOne,
                lines.ConvertAll(line => line.Scaled(MilliPerOne)),
                ReferenceShuntModel.Conditions(shunt, _day),
                _coverage
            );
        (current.Budget is null ? findings : _assumptions).AddRange(
            current.Findings.Where(_ => Math.Abs(volts) > ReferenceShuntModel.Floor(shunt))
        );
        return current.Budget is { } budget
            ? new Measured(budget, mean, scatter * shunt.RatedAmperes.Value / shunt.RatedVolts.Value)
            : null;
    }

    private (WindowMean Mean, double HalfRange)? WindowOf(
        JudgingMeter meter,
        PointMeasured window,
        List<string> findings
    )
    {
        var (values, notGood) = _readings[_bench.Channels.IndexOf(meter.Channel)].Between(window.From, window.To);
        if (notGood > 0)
        {
            findings.Add(
                $"{meter.Channel.Name}: {notGood} of {values.Length + notGood} readings of step {window.Step} were missing, overloaded or no number; they are not in the mean."
            );
        }
        if (values.Length == 0)
            return null;
        var mean = Averaging.Mean(values);
        // An indication beyond the range is none, however well others make up for it in the mean.
        if (!values.All(meter.Covers))
        {
            findings.Add(
                $"{meter.Channel.Name}: step {window.Step} lies beyond the meter's range; nothing is said of it."
            );
            return null;
        }
        if (mean.Outliers > 0)
        {
            findings.Add(
                $"{meter.Channel.Name}: {mean.Outliers} of {mean.Count} readings of step {window.Step} lie far from the rest; they are flagged and still averaged."
            );
        }
        return (mean, (values.Max() - values.Min()) / 2);
    }

    private List<(double Seconds, double Volts)> ReferenceZeros(IReadOnlyList<PointStep> steps)
    {
        var zeros = new List<(double, double)>();
        foreach (var step in steps.Where(s => s.IsZeroReading))
        {
            if (
                _windows.GetValueOrDefault(step.Number) is { } window
                && Mean(ChannelRole.ReferenceShuntDrop, window.From, window.To) is { } mean
                && Meter(ChannelRole.ReferenceShuntDrop)?.Covers(mean.Mean) == true
            )
                zeros.Add((Middle(window), mean.Mean));
        }
        return zeros;
    }

    // Straight between the first and the last zero reading, level outside them.
    private static double ZeroAt(IReadOnlyList<(double Seconds, double Volts)> zeros, double seconds)
    {
        if (zeros.Count == 0)
            return 0;
        var (first, last) = (zeros[0], zeros[^1]);
        var span = last.Seconds - first.Seconds;
        var part = span > 0 ? Math.Clamp((seconds - first.Seconds) / span, 0, 1) : 0;
        return first.Volts + part * (last.Volts - first.Volts);
    }

    // A zero reading takes the meter's offset off and brings what the zero moved between two of them, half of it a rectangle.
    private static void ZeroTaken(
        JudgingMeter meter,
        IReadOnlyList<(double Seconds, double Volts)> zeros,
        List<UncertaintyInput> lines
    )
    {
        if (zeros.Count == 0)
            return;
        lines.RemoveAll(l => l.Component == Component.Offset);
        var moved = Math.Abs(zeros[^1].Volts - zeros[0].Volts) / 2;
        lines.Add(
            UncertaintyInput.FromHalfWidth($"{meter.Channel.Name}: zero reading", 0, moved + meter.Resolution / 2) with
            {
                Component = Component.ZeroDrift,
                Instrument = meter.Instrument.Id,
            }
        );
    }

    private static double Middle(PointMeasured window) => (window.From + (window.To - window.From) / 2).TotalSeconds;

    // What differs from point to point.
    private static double Scatter(List<UncertaintyInput> lines) =>
        Math.Sqrt(lines.Where(Measured.IsOwn).Sum(l => l.StandardUncertainty * l.StandardUncertainty));
}
