using System.Collections.Immutable;
using LoadTest.Sequencer.Engine;

namespace LoadTest.Hunting;

/// <summary>A mishap that really happened.</summary>
/// <param name="Kind">Its kind.</param>
/// <param name="Stage">Stage of the run it happened in.</param>
internal readonly record struct Strike(MishapKind Kind, RunStage Stage);

/// <summary>Lets each mishap happen when its moment has come, and notes in which stage of the run that was.</summary>
internal sealed class MishapClock
{
    private readonly ImmutableArray<Mishap> _mishaps;
    private readonly bool[] _isSet;
    private readonly Pump _pump;
    private readonly StageTracker _stages;
    private readonly Action<Mishap> _strike;
    private readonly ImmutableArray<Strike>.Builder _strikes = ImmutableArray.CreateBuilder<Strike>();

    private bool _isOver;

    /// <summary>Waits for the stages of a run.</summary>
    public MishapClock(ImmutableArray<Mishap> mishaps, Pump pump, StageTracker stages, Action<Mishap> strike)
    {
        (_mishaps, _isSet, _pump, _stages, _strike) = (mishaps, new bool[mishaps.Length], pump, stages, strike);
        stages.Began = Reach;
    }

    /// <summary>How many have happened, plain stops among them.</summary>
    public int Struck { get; private set; }

    /// <summary>Whether one has happened after which a run need not complete.</summary>
    public bool HasHarmed { get; private set; }

    /// <summary>Whether none has happened that could keep off from being confirmed in time.</summary>
    public bool LeavesOffProvable { get; private set; } = true;

    /// <summary>Those that happened before the load was confirmed off for good, in order.</summary>
    public ImmutableArray<Strike> Strikes => _strikes.ToImmutable();

    /// <summary>The run is over: nothing happens any more.</summary>
    public void Stop() => _isOver = true;

    private void Reach(RunStage stage, int which)
    {
        for (var k = 0; k < _mishaps.Length; k++)
        {
            var when = _mishaps[k].When;
            if (when.Stage == stage && when.Which == which)
                Set(k);
        }
    }

    private void Set(int index)
    {
        if (_isSet[index] || _isOver)
            return;
        _isSet[index] = true;
        var after = _mishaps[index].When.After;
        _pump.CreateTimer(_ => Strike(index), null, after, Timeout.InfiniteTimeSpan);
    }

    private void Strike(int index)
    {
        if (_isOver)
            return;
        Struck++;
        HasHarmed |= !_mishaps[index].IsHarmless;
        LeavesOffProvable &= _mishaps[index].LeavesOffProvable;
        if (_mishaps[index].Kind is { } kind && !_stages.IsFoundOff)
            _strikes.Add(new Strike(kind, _stages.Now));
        _strike(_mishaps[index]);
        if (index + 1 < _mishaps.Length && _mishaps[index + 1].When.Stage is null)
            Set(index + 1);
    }
}
