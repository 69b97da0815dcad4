using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>What a person does at the unit, done at the simulated one with the simulator's hands.</summary>
/// <param name="hands">The hands.</param>
/// <param name="time">The pump.</param>
internal sealed class HandWork(Hands hands, TimeProvider time)
{
    private const double StandstillRpm = 50;
    private const double RunningRpm = 300;
    private const double Steady = 0.002;
    private const int MostLooks = 80;
    private static readonly TimeSpan LookEvery = TimeSpan.FromMilliseconds(250);

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
                await AwaitEngineAsync((last, now) => now > RunningRpm && Math.Abs(now - last) <= Steady * now, cancel);
                break;
            case HandAction.StopEngine:
                await hands.SayAsync("output off");
                await hands.SayAsync("engine stop");
                await AwaitEngineAsync((_, now) => now < StandstillRpm, cancel);
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

    /// <summary>Looks at the engine until it is as wanted; one that never is, is for the gate or the run to find.</summary>
    private async Task AwaitEngineAsync(Func<double, double, bool> isAsWanted, CancellationToken cancel)
    {
        var last = 0.0;
        for (var look = 0; look < MostLooks; look++)
        {
            await Task.Delay(LookEvery, time, cancel);
            var now = await hands.ReadAsync("read engine speed");
            if (isAsWanted(last, now))
                return;
            last = now;
        }
    }
}
