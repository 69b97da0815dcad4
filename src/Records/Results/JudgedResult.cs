using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>One result held against one limit of the profile.</summary>
/// <param name="Name">What was judged and where: "shunt ratio, shunt as left".</param>
/// <param name="Step">Step of the plan, of a limit judged point by point; null otherwise.</param>
/// <param name="Measurand">The quantity.</param>
/// <param name="Condition">As is, as found or as left.</param>
/// <param name="Limit">The limit, as resolved by the plan.</param>
/// <param name="Unit">Unit of value, uncertainty and the judgement's limit.</param>
/// <param name="Predicted">Standard uncertainty the plan predicted, in <paramref name="Unit"/>; null when it could not.</param>
/// <param name="Judgement">Verdict, risks and words; the estimate in it is in <paramref name="Unit"/>.</param>
/// <param name="Budget">Budget behind the estimate; null when not tested or when no number stands behind it.</param>
/// <param name="IsSuperseded">Whether a result as left replaces this one in the verdict of the run; null when frames that could say are missing.</param>
public sealed record JudgedResult(
    string Name,
    int? Step,
    Measurand Measurand,
    Condition Condition,
    ResolvedLimit Limit,
    Unit Unit,
    double? Predicted,
    Judgement Judgement,
    Budget? Budget,
    bool? IsSuperseded
);
