using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>A profile worked out for one unit on one bench: every state, limit and prediction explicit.</summary>
/// <param name="Profile">The profile.</param>
/// <param name="Nameplate">The unit's nameplate.</param>
/// <param name="Bench">The bench.</param>
/// <param name="Steps">Steps in order, loops and groups unfolded, numbered from 1.</param>
/// <param name="Groups">Groups of points that are analysed together, in order of their first point.</param>
/// <param name="Timing">Worst-case time from a fault to load off.</param>
/// <param name="Totals">Time and energy of the whole plan.</param>
/// <param name="Findings">What cannot be done or decided, with what would help; an error refuses the run.</param>
public sealed record RunPlan(
    LoadProfile Profile,
    Nameplate Nameplate,
    Bench Bench,
    ImmutableArray<PlannedStep> Steps,
    ImmutableArray<PointGroup> Groups,
    OffTiming Timing,
    PlanTotals Totals,
    ImmutableArray<Finding> Findings
)
{
    /// <summary>Whether the plan may be run: no finding is an error.</summary>
    public bool IsRunnable => !Findings.Any(f => f.Severity == Severity.Error);

    /// <summary>Whether a person judges a value by this instrument.</summary>
    /// <param name="instrument">Its id on the bench.</param>
    public bool ReadByHand(string instrument) =>
        Steps
            .OfType<AskStep>()
            .Any(s => s is { Limit: not null, Meter: { } meter } && meter.Instrument.Id == instrument);
}

/// <summary>Worst-case time from a fault at the studs to the load off, by part.</summary>
/// <param name="Aperture">Longest aperture of a trip channel.</param>
/// <param name="Scan">Scan period.</param>
/// <param name="Bus">Longest transaction the all-off may have to wait for, and its own.</param>
/// <param name="Contactor">Opening time of the contactors.</param>
public sealed record OffTiming(TimeSpan Aperture, TimeSpan Scan, TimeSpan Bus, TimeSpan Contactor)
{
    /// <summary>The sum: what the control-lost check uses.</summary>
    public TimeSpan WorstCase => Aperture + Scan + Bus + Contactor;
}

/// <summary>Time and energy of a plan.</summary>
/// <param name="Duration">Expected duration, settling at its usual length, persons answering at once.</param>
/// <param name="LoadedTime">Of that, time with current flowing.</param>
/// <param name="Energy">Energy turned into heat in the bank, joules.</param>
/// <param name="PeakPower">Highest power in the bank.</param>
public sealed record PlanTotals(TimeSpan Duration, TimeSpan LoadedTime, double Energy, Watts PeakPower);

/// <summary>What a group of points is for.</summary>
public enum GroupKind
{
    /// <summary>One point with every element off.</summary>
    NoLoad,

    /// <summary>Resistance swept at one setting.</summary>
    Curve,

    /// <summary>Settings along the load line.</summary>
    LoadLine,

    /// <summary>Current by control, up and down, zeros before and after.</summary>
    ShuntSweep,

    /// <summary>One state held for a time.</summary>
    Hold,

    /// <summary>One state until the unit is warm.</summary>
    HeatRun,

    /// <summary>A sudden change of load.</summary>
    Transient,

    /// <summary>Loads of the auxiliary output, weld output unloaded.</summary>
    Auxiliary,

    /// <summary>Loads of both outputs together.</summary>
    WeldAndAuxiliary,
}

/// <summary>Points that are analysed together.</summary>
/// <param name="Number">Number of the group, from 1.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="Title">Heading in reports, setting and condition included.</param>
/// <param name="Mode">Mode of the unit.</param>
/// <param name="Condition">As is, as found or as left.</param>
/// <param name="PointsName">Name of the <c>points</c> block it comes from, pairing as found with as left; null otherwise.</param>
/// <param name="Limits">Limits judged on the group's results, resolved.</param>
public sealed record PointGroup(
    int Number,
    GroupKind Kind,
    string Title,
    UnitMode Mode,
    Condition Condition,
    string? PointsName,
    ImmutableArray<ResolvedLimit> Limits
);

/// <summary>A limit with its percentages resolved and what the meters are predicted to make of it.</summary>
/// <param name="Measurand">What is judged.</param>
/// <param name="Lower">Lower tolerance limit in <paramref name="Unit"/>; null when one-sided.</param>
/// <param name="Upper">Upper tolerance limit; null when one-sided.</param>
/// <param name="IsRelativeToSetting">Bounds are fractions to be multiplied by each point's setting (set and indicated errors in percent of setting).</param>
/// <param name="Unit">Unit of the bounds.</param>
/// <param name="Text">As written in the profile.</param>
/// <param name="PredictedUncertainty">Predicted standard uncertainty of the result, same unit; null when it cannot be predicted.</param>
/// <param name="TestUncertaintyRatio">Predicted TUR: tolerance span over twice U95; null when one-sided or not predictable.</param>
/// <param name="FalseAcceptRisk">Predicted specific risk of false acceptance at the acceptance limit, 0 to 1; null when not predictable.</param>
public sealed record ResolvedLimit(
    Measurand Measurand,
    double? Lower,
    double? Upper,
    bool IsRelativeToSetting,
    Unit Unit,
    string Text,
    double? PredictedUncertainty,
    double? TestUncertaintyRatio,
    double? FalseAcceptRisk,
    Place Place
)
{
    /// <summary>Bases of the nameplate that the profile's percentages rest on, each once; empty when the profile gives every number.</summary>
    public ImmutableArray<BaseName> Bases { get; init; } = [];

    /// <summary>The standard or document the profile takes it from; null when it names none.</summary>
    public string? From { get; init; }

    /// <summary>Where the limit comes from, in words: <c>profile</c>, or <c>profile, on the nameplate's rated current</c>.</summary>
    /// <remarks>With a document named: <c>shop standard WS-7, by the profile, on the nameplate's rated current</c>.</remarks>
    public string Source
    {
        get
        {
            var by = From is null ? "profile" : $"{From}, by the profile";
            return Bases.IsEmpty ? by : $"{by}, on the nameplate's {string.Join(" and ", Bases.Select(BaseText.Word))}";
        }
    }
}
