using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>What the engine does by itself: idle down, pick up, stall.</summary>
internal sealed class EngineRoom(EngineWorld engine)
{
    private const double CarriesCurrent = 1.0;

    private readonly long _idleDownTicks = (long)(engine.IdleDownSeconds * 1e7);
    private readonly long _stallTicks = (long)(engine.StallSeconds * 1e7);
    private long _unloadedSince = -1;
    private long _overloadedSince = -1;

    /// <summary>True from a stall to the next start.</summary>
    public bool HasStalled { get; private set; }

    /// <summary>Looks at load and time; called at every step.</summary>
    public void Act(in PlantState state, Switches set)
    {
        if (!set.EngineOn)
        {
            _unloadedSince = _overloadedSince = -1;
            set.Idling = false;
            return;
        }

        HasStalled = false;
        var unloaded = state.Amperes < CarriesCurrent && state.AuxiliaryAmperes < CarriesCurrent;
        _unloadedSince = unloaded && set.IdleDown ? (_unloadedSince < 0 ? state.Ticks : _unloadedSince) : -1;
        set.Idling = _unloadedSince >= 0 && state.Ticks - _unloadedSince >= _idleDownTicks;

        var overloaded = state.ShaftWatts > engine.StallWatts * state.Rpm / engine.NoLoadRpm;
        _overloadedSince = overloaded ? (_overloadedSince < 0 ? state.Ticks : _overloadedSince) : -1;
        if (_overloadedSince >= 0 && state.Ticks - _overloadedSince >= _stallTicks)
        {
            Stall(set);
        }
    }

    /// <summary>Stopped by its own switch: what stalled does not come back by itself.</summary>
    public void Stop(Switches set)
    {
        Stall(set);
        HasStalled = false;
    }

    public void Stall(Switches set)
    {
        HasStalled = true;
        set.EngineOn = false;
        set.Cranking = false;
        set.Idling = false;
    }
}
