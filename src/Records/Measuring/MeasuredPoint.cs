using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Measuring;

/// <summary>One point of a plan as it was measured.</summary>
/// <param name="Step">What was planned.</param>
/// <param name="Window">The window of readings that counts; null when the run did not come so far.</param>
/// <param name="Volts">Volts at the studs; null when not measured.</param>
/// <param name="Amperes">Amperes by the bench's reference; null when not measured.</param>
/// <param name="UnitDrop">Drop of the unit's own shunt, volts; null when not measured.</param>
/// <param name="PanelAmperes">What a person read on the unit's ammeter; null when not asked.</param>
/// <param name="PanelVolts">What a person read on the unit's voltmeter; null when not asked.</param>
/// <param name="Findings">What is to be known about this point, whole sentences.</param>
public sealed record MeasuredPoint(
    PointStep Step,
    PointMeasured? Window,
    Measured? Volts,
    Measured? Amperes,
    Measured? UnitDrop,
    double? PanelAmperes,
    double? PanelVolts,
    ImmutableArray<string> Findings
)
{
    /// <summary>What else was read at this point: temperatures of a heat run, the auxiliary output.</summary>
    public ImmutableDictionary<ChannelRole, Measured> Beside { get; init; } =
        ImmutableDictionary<ChannelRole, Measured>.Empty;

    /// <summary>Whether readings were taken and had settled: only then is anything judged on this point.</summary>
    public bool Counts => Window is { HasSettled: true };

    /// <summary>Middle of the window, seconds since the run was opened; zero when not measured.</summary>
    public double Seconds => Window is { } w ? (w.From + (w.To - w.From) / 2).TotalSeconds : 0;
}
