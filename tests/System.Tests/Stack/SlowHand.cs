using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Stack;

/// <summary>A person who takes a time to turn the control.</summary>
internal sealed class SlowHand(IOperator inner, Pump pump, TimeSpan delay) : IOperator
{
    public bool IsPerson => inner.IsPerson;

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        if (question.Action == HandAction.SetControl && delay > TimeSpan.Zero)
            await Task.Delay(delay, pump, cancel);
        return await inner.AskAsync(question, cancel);
    }
}
