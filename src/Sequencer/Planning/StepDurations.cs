using LoadTest.Sequencer.Profiles;

namespace LoadTest.Sequencer.Planning;

/// <summary>Expected lengths of steps: a person answers at once, settling takes its usual length.</summary>
internal sealed class StepDurations(LoadProfile profile, Circuit circuit)
{
    /// <summary>Switching, one settling window, the hold, and the readings that are averaged.</summary>
    /// <remarks>4 operations of 0.3 s, window 4 s, 20 readings at 100 ms: 1.2 + 4 + 2 = 7.2 s.</remarks>
    public TimeSpan Of(BenchState state, TimeSpan hold) =>
        state.Switching.Length * circuit.PerOperation + profile.Settle.Over + hold + Averaging();

    private TimeSpan Averaging()
    {
        var slowest = circuit
            .Bench.Channels.Where(c => !c.IsFast)
            .Select(c => circuit.Bench.Instrument(c.InstrumentId).Definition.Input(c.Input).Aperture)
            .DefaultIfEmpty(TimeSpan.Zero)
            .Max();
        var period = slowest > Circuit.ScanPeriod ? slowest : Circuit.ScanPeriod;
        return profile.AverageReadings * period;
    }
}
