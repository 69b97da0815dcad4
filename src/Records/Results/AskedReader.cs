using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Results;

/// <summary>Finds the answers to the steps in which a person acts.</summary>
internal static class AskedReader
{
    /// <summary>Every such step of the plan, those not reached among them.</summary>
    public static IEnumerable<AskedResult> Of(
        RunPlan plan,
        IReadOnlyList<JournalEntry> entries,
        Judge judge,
        DateOnly day,
        List<string> assumptions
    )
    {
        var answers = Answers(entries);
        foreach (var step in plan.Steps.OfType<AskStep>())
        {
            var (at, answer) = answers.TryGetValue(step.Number, out var a) ? ((TimeSpan?)a.At, a.Answer) : (null, null);
            yield return new AskedResult(step, at, answer, Judged(step, answer, judge, day, assumptions));
        }
    }

    // The last answer between the start of a step and the next start belongs to it.
    private static Dictionary<int, (TimeSpan At, Answer Answer)> Answers(IReadOnlyList<JournalEntry> entries)
    {
        var answers = new Dictionary<int, (TimeSpan, Answer)>();
        var step = 0;
        foreach (var entry in entries)
        {
            if (entry is StepStarted started)
                step = started.Step;
            else if (entry is Answered answered)
                answers[step] = (answered.At, answered.Answer);
        }
        return answers;
    }

    private static JudgedResult? Judged(
        AskStep step,
        Answer? answer,
        Judge judge,
        DateOnly day,
        List<string> assumptions
    )
    {
        if (step.Limit is not { } limit)
            return null;
        var (budget, missing) = HandValue.Of(step, answer, day, judge.Coverage, assumptions);
        return judge.Of(step.Title, limit, Condition.AsIs, limit.Unit, budget, 1, missing);
    }
}
