using LoadTest.Sequencer.Ports;

namespace LoadTest.Running;

/// <summary>Stands in for a person on a simulated bench: does what is asked with the simulator's hands.</summary>
/// <param name="hands">The simulator's hands.</param>
/// <param name="time">The pump.</param>
/// <param name="who">Name under which it answers; it says that it is a script.</param>
/// <param name="byHand">Values of steps by hand as they are typed, in order, in the unit asked for.</param>
internal sealed class ScriptedOperator(Hands hands, TimeProvider time, string who, IReadOnlyList<string> byHand)
    : IOperator
{
    private readonly HandWork _work = new(hands, time);
    private int _next;

    public bool IsPerson => false;

    /// <summary>How long it thinks before it answers.</summary>
    public TimeSpan Thinking { get; init; } = TimeSpan.FromSeconds(1);

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        await Task.Delay(Thinking, time, cancel);
        var answer =
            question.Kind == QuestionKind.Number ? await NumberAsync(question) : new Answer(true, null, "", who);
        await _work.DoAsync(question, cancel);
        return answer;
    }

    private async Task<Answer> NumberAsync(Question question)
    {
        if (await _work.ReadAsync(question) is { } shown)
            return new Answer(true, shown, "", who);
        var typed = _next < byHand.Count ? TypedNumber.Read(byHand[_next++], question.Unit) : null;
        return typed?.Answer(who) ?? new Answer(true, null, "", who);
    }
}
