using LoadTest.Sequencer.Journal;

namespace LoadTest.Hunting;

/// <summary>The eight parts of a run in which something may go wrong, as its journal tells them apart.</summary>
internal enum RunStage
{
    /// <summary>From the first entry until the first half of the gate is passed: engine stopped, bank off.</summary>
    Gate,

    /// <summary>Engine running, until the second half of the gate is passed: open-circuit volts, proving load.</summary>
    Proving,

    /// <summary>A switching that brings elements on was intended and is not read back.</summary>
    SwitchingOn,

    /// <summary>Elements are on, for the first 0.6 s.</summary>
    Settling,

    /// <summary>Elements are on for longer than that.</summary>
    Measuring,

    /// <summary>Switching to no element was intended and is not read back.</summary>
    Unloading,

    /// <summary>Nothing is on: between steps, work with the engine stopped, cooling.</summary>
    Standing,

    /// <summary>The load was removed and is not confirmed off.</summary>
    Removing,
}

/// <summary>Follows a run through its stages by the entries of its journal.</summary>
/// <param name="time">The pump.</param>
internal sealed class StageTracker(TimeProvider time)
{
    /// <summary>How long a load counts as settling.</summary>
    public static readonly TimeSpan Settles = TimeSpan.FromMilliseconds(600);

    private readonly int[] _times = new int[Enum.GetValues<RunStage>().Length];
    private RunStage _stage = RunStage.Gate;
    private long _since;
    private bool _isProved;
    private bool _isOn;
    private bool _hasSwitched;

    /// <summary>Told of each stage as it begins, and for the so-manieth time; Measuring is not told of, it follows Settling.</summary>
    public Action<RunStage, int>? Began { get; set; }

    /// <summary>Whether the run is over, or its load was removed and confirmed off.</summary>
    public bool IsFoundOff { get; private set; }

    /// <summary>The stage now.</summary>
    public RunStage Now =>
        _stage == RunStage.Settling && time.GetElapsedTime(_since) >= Settles ? RunStage.Measuring : _stage;

    /// <summary>An entry was appended.</summary>
    public void Seen(JournalEntry entry)
    {
        switch (entry)
        {
            case RunOpened:
                Begin(RunStage.Gate);
                break;
            case GatePassed { Half: 1 }:
                Begin(RunStage.Proving);
                break;
            case GatePassed:
                _isProved = true;
                Begin(_isOn ? RunStage.Settling : RunStage.Standing);
                break;
            case SwitchIntended intended when _isProved && _stage != RunStage.Removing:
                Begin(intended.Elements.IsEmpty ? RunStage.Unloading : RunStage.SwitchingOn);
                _hasSwitched = false;
                _isOn = !intended.Elements.IsEmpty;
                break;
            case SwitchIntended intended:
                _isOn = !intended.Elements.IsEmpty;
                break;
            case SwitchEnded:
                _hasSwitched = true;
                break;
            case StatesRead when _hasSwitched && _stage is RunStage.SwitchingOn or RunStage.Unloading:
                Begin(_isOn ? RunStage.Settling : RunStage.Standing);
                break;
            case LoadRemoved:
                Begin(RunStage.Removing);
                break;
            case LoadOff { IsConfirmed: true } when _stage == RunStage.Removing:
                IsFoundOff = true;
                Begin(RunStage.Standing);
                break;
            case RunClosed:
                IsFoundOff = true;
                break;
        }
    }

    private void Begin(RunStage stage)
    {
        (_stage, _since) = (stage, time.GetTimestamp());
        Began?.Invoke(stage, ++_times[(int)stage]);
    }
}
