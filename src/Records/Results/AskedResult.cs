using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Results;

/// <summary>A step in which a person looked, measured by hand, answered or adjusted.</summary>
/// <param name="Step">The step of the plan.</param>
/// <param name="At">When the answer came, since the run was opened; null when it was not reached.</param>
/// <param name="Answer">The answer; null when it was not reached.</param>
/// <param name="Judged">Verdict of a value by hand; null when only recorded.</param>
public sealed record AskedResult(AskStep Step, TimeSpan? At, Answer? Answer, JudgedResult? Judged)
{
    /// <summary>False when frames of the journal are missing that may hold the answer, or another one.</summary>
    public bool IsKnown { get; init; } = true;
}
