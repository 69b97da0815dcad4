namespace LoadTest.Analysis.Settling;

/// <summary>What a window of readings showed: state, level, slope, spread, against which tolerance.</summary>
/// <param name="State">The judgement.</param>
/// <param name="Count">Readings in the window.</param>
/// <param name="Mean">Mean of the window, in the unit of the reading; NaN when nothing can be said.</param>
/// <param name="SlopePerSecond">Slope of the least-squares line, unit per second; positive when rising.</param>
/// <param name="SlopeUncertainty">Standard uncertainty of the slope, widened for lag-1 correlation of the residuals.</param>
/// <param name="Change">Change along the line from first to last reading, in the unit of the reading.</param>
/// <param name="Spread">Largest distance of a reading from the mean.</param>
/// <param name="ResidualDeviation">Standard deviation about the line (n − 2).</param>
/// <param name="Tolerance">Tolerance the spread and the change were held against.</param>
/// <param name="PeriodSeconds">Period of the swing when oscillating, otherwise zero.</param>
public readonly record struct SettlingAssessment(
    SettlingState State,
    int Count,
    double Mean,
    double SlopePerSecond,
    double SlopeUncertainty,
    double Change,
    double Spread,
    double ResidualDeviation,
    double Tolerance,
    double PeriodSeconds
)
{
    /// <summary>Whether readings may be averaged now.</summary>
    public bool IsSettled => State == SettlingState.Settled;

    internal static SettlingAssessment Without(SettlingState state, int count) =>
        new(
            state,
            count,
            double.NaN,
            double.NaN,
            double.NaN,
            double.NaN,
            double.NaN,
            double.NaN,
            double.NaN,
            PeriodSeconds: 0
        );

    /// <summary>One sentence a technician can act on.</summary>
    /// <param name="unit">Unit of the readings, such as A.</param>
    public string Describe(string unit)
    {
        var (u, factor) = Figures.Scaled(unit, Tolerance);
        var (mean, allowed) = (Figures.To(Mean * factor, Tolerance * factor), Figures.Of(Tolerance * factor));
        var spread = Figures.Of(Spread * factor);
        return State switch
        {
            SettlingState.TooShort => $"Not enough readings yet ({Count} in the window, or a hole in them).",
            SettlingState.Missing => $"A reading of the last {Count} is missing or overloaded.",
            SettlingState.Settled =>
                $"Settled: {Count} readings within ± {spread} {u} of {mean} {u} (allowed ± {allowed} {u}), changing {Figures.Signed(Change * factor)} {u} over the window.",
            SettlingState.Drifting =>
                $"Drifting {(SlopePerSecond > 0 ? "up" : "down")}: {Figures.Of(Math.Abs(Change) * factor)} {u} over the window, {allowed} {u} allowed. Wait longer.",
            SettlingState.Oscillating =>
                $"Oscillating: ± {spread} {u} about {mean} {u} with a period of {Figures.Of(PeriodSeconds)} s, ± {allowed} {u} allowed. Waiting will not help; look at the governor and the regulation.",
            _ =>
                $"Noisy: readings lie up to {spread} {u} from {mean} {u}, {allowed} {u} allowed, with no drift that explains it. A longer aperture or a longer average may help.",
        };
    }
}
