using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>What a person does at the unit, done at the simulated one with the simulator's hands.</summary>
/// <param name="hands">The hands.</param>
/// <param name="time">The pump.</param>
internal sealed class HandWork(Hands hands, TimeProvider time)
{
    private static readonly TimeSpan RunDown = TimeSpan.FromSeconds(8);

    /// <summary>Reads the panel meter a question is about; null when it is about none.</summary>
    public async Task<double?> ReadAsync(Question question) =>
        question.Action switch
        {
            HandAction.ReadPanelAmperes => await hands.ReadAsync("read panel amperes"),
            HandAction.ReadPanelVolts => await hands.ReadAsync("read panel volts"),
            _ => null,
        };

    /// <summary>Does what a question asks to be done; nothing when it only asks for words.</summary>
    public async Task DoAsync(Question question, CancellationToken cancel)
    {
        if (question.Kind != QuestionKind.Do && question.Action != HandAction.StopEngine)
            return;
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
