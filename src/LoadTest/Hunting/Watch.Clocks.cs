using LoadTest.Sequencer.Engine;

namespace LoadTest.Hunting;

/// <content>What has to follow when the machine sleeps or does not let the program run.</content>
internal sealed partial class Watch
{
    /// <summary>A scan is closed within this of whatever happens, and the load removed where it has to be.</summary>
    private static readonly TimeSpan SoonAfter = RunMachine.ScanPeriod * 3;

    private long _heldUntil;

    /// <summary>The machine's clocks are about to be meddled with.</summary>
    public void Expect(ClockMishap mishap)
    {
        var span = mishap.Trouble == ClockTrouble.Set ? TimeSpan.Zero : mishap.Span;
        var due = _pump.GetTimestamp() + SoonAfter.Ticks;
        if (mishap.Trouble == ClockTrouble.Busy)
        {
            // Nothing can be asked of a program while it does not run, nor of the volts an element had meanwhile.
            HasFault = true;
            due += span.Ticks;
            _heldUntil = Math.Max(_heldUntil, due);
        }
        // A program held up for the limit and a scan's length sees it whenever its last scan was closed.
        if (span <= DeadMan.Limit + RunMachine.ScanPeriod || _latched is not null || _isClosed)
            return;
        if (_bench.ElementsOn != 0 && _bench.Truth.IsEngineRunning)
            _tripDue ??= (
                due,
                $"The machine {(mishap.Trouble == ClockTrouble.Busy ? "held the program up" : "slept")} for {span.TotalSeconds:0.000} s with elements on, and time went on without the load being removed."
            );
    }
}
