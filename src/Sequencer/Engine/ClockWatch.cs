using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>Tells a set clock and a sleep of the machine from the passing of time.</summary>
/// <param name="look">Looks at the clocks.</param>
/// <param name="first">What they said when the run was opened.</param>
internal sealed class ClockWatch(Func<ClockLook> look, ClockLook first)
{
    /// <summary>Smallest step of the wall clock worth an entry.</summary>
    public static readonly TimeSpan LeastStep = TimeSpan.FromSeconds(0.5);

    /// <summary>Shortest sleep that trips: as long as the loop may be late.</summary>
    private static readonly TimeSpan LeastSleep = DeadMan.Limit;

    private ClockLook _last = first;

    /// <summary>What has happened to the clocks since the last look; the load first, the label second.</summary>
    public IEnumerable<RunInput> Look(TimeSpan now)
    {
        var seen = look();
        var slept = seen.Slept - _last.Slept;
        // Sleep moves the wall clock on, and is no setting of it.
        var step = seen.WallOffset - _last.WallOffset - slept;
        var hasSlept = slept >= LeastSleep;
        var hasStepped = step.Duration() >= LeastStep;
        // What is too little to be told stays in the balance.
        if (hasStepped || hasSlept)
            _last = seen;
        if (hasSlept)
            yield return new MachineSlept(now, slept);
        if (hasStepped)
            yield return new ClockStepped(now, step);
    }
}
