using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>Stands in for a person on a simulated bench: does what is asked with the simulator's hands.</summary>
/// <param name="hands">The simulator's hands.</param>
/// <param name="time">The pump.</param>
/// <param name="who">Name under which it answers; it says that it is a script.</param>
/// <param name="byHand">Values of steps by hand, in order.</param>
internal sealed class ScriptedOperator(Hands hands, TimeProvider time, string who, IReadOnlyList<double> byHand)
    : IOperator
{
    private static readonly TimeSpan Thinking = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan RunDown = TimeSpan.FromSeconds(8);
    private int _next;

    public bool IsPerson => false;

    public async Task<Answer> AskAsync(Question question, CancellationToken cancel)
    {
        await Task.Delay(Thinking, time, cancel);
        var number = question.Kind == QuestionKind.Number ? await NumberAsync(question) : (double?)null;
        if (question.Kind == QuestionKind.Do || question.Action == HandAction.StopEngine)
            await ActAsync(question, cancel);
        return new Answer(true, number, "", who);
    }

    private async Task<double?> NumberAsync(Question question) =>
        question.Action switch
        {
            HandAction.ReadPanelAmperes => await hands.ReadAsync("read panel amperes"),
            HandAction.ReadPanelVolts => await hands.ReadAsync("read panel volts"),
            _ => _next < byHand.Count ? byHand[_next++] : null,
        };

    private async Task ActAsync(Question question, CancellationToken cancel)
    {
        switch (question.Action)
        {
            case HandAction.StartEngine:
                await hands.SayAsync("engine start");
                await Task.Delay(RunDown, time, cancel);
                break;
            case HandAction.StopEngine:
                await hands.SayAsync("output off");
                await hands.SayAsync("engine stop");
                await Task.Delay(RunDown, time, cancel);
                break;
            case HandAction.EnableOutput:
                await hands.SayAsync("output on");
                break;
            case HandAction.DisableOutput:
                await hands.SayAsync("output off");
                break;
            case HandAction.SelectMode:
                await hands.SayAsync($"mode {question.Mode}");
                break;
            case HandAction.SetControl when question.Setting is { } setting:
                await hands.SayAsync($"control {setting.Value:0.###} {(setting.Unit == Unit.Volt ? "V" : "A")}");
                break;
            case HandAction.Adjust:
                await hands.SayAsync("adjust sense lead");
                break;
        }
    }
}
