using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Records.Results;

/// <summary>What the points of one group say together.</summary>
/// <param name="Group">The group of the plan.</param>
/// <param name="Points">Its points in order; those the run did not reach are among them.</param>
/// <param name="Judged">Its limits with their verdicts.</param>
/// <param name="Findings">What is to be known, whole sentences, each once.</param>
/// <param name="Curve">The fitted volt-amp curve of a curve group; null when it could not be fitted.</param>
/// <param name="LoadLine">The mode's load line, bent through the nameplate's rated point.</param>
/// <param name="Shunt">The unit's shunt, of a shunt sweep; null when it could not be analysed.</param>
/// <param name="Agreement">Set, indicated and actual point by point, where the panel was read.</param>
/// <param name="Drift">Relative change of the held quantity over a hold, a fraction; null otherwise.</param>
public sealed record GroupResult(
    PointGroup Group,
    ImmutableArray<MeasuredPoint> Points,
    ImmutableArray<JudgedResult> Judged,
    ImmutableArray<string> Findings,
    VoltAmpCurve? Curve,
    LoadLine LoadLine,
    ShuntRatio? Shunt,
    ImmutableArray<PanelAgreement> Agreement,
    Estimate? Drift
)
{
    /// <summary>False when frames of the journal are missing that could change what was measured: then nothing of it is told.</summary>
    public bool IsKnown { get; init; } = true;

    /// <summary>Of a heat run; null otherwise, or when the run did not come so far.</summary>
    public HeatResult? Heat { get; init; }

    /// <summary>Of a transient; null otherwise, or when the run did not come so far.</summary>
    public TransientResult? Transient { get; init; }
}

/// <summary>Set, indicated and actual at one point.</summary>
/// <param name="Step">Step of the plan.</param>
/// <param name="Set">Setting of the control, amperes or volts.</param>
/// <param name="Indicated">On the unit's panel meter, same unit.</param>
/// <param name="Actual">By the bench's reference, same unit.</param>
/// <param name="Comparison">What does not agree with the rest.</param>
public sealed record PanelAgreement(
    int Step,
    double Set,
    Estimate Indicated,
    Estimate Actual,
    SetIndicatedActual Comparison
);
