using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>What the bank's own controller does: contactors, fan, watchdog and protection.</summary>
internal sealed class BankControl(BankWorld bank, int elements, double ambientCelsius)
{
    private const long TicksPerSecond = 10_000_000;
    private const long AirFlowGrace = 5 * TicksPerSecond;
    private const double AirFlowThreshold = 0.6;

    private long _watchdogAt = long.MaxValue;
    private long _withoutAirSince = -1;
    private long _runOnUntil = -1;

    public Contactors Contactors { get; } = new(bank, elements);
    public int WatchdogSeconds { get; private set; }
    public int FanRunOnSeconds { get; set; } = 180;
    public bool FanCommanded { get; private set; }
    public bool FanFailed { get; set; }
    public bool WatchdogDead { get; set; }
    public bool SensorHot { get; set; }
    public bool StopPressed { get; private set; }
    public bool StopFault { get; private set; }
    public bool DroppedByWatchdog { get; private set; }
    public bool DroppedByProtection { get; private set; }
    public bool OverTemperature { get; private set; }
    public bool AirFlowPresent { get; private set; }

    /// <summary>Why contactors may not close now; null when they may.</summary>
    public bool MayClose => !OverTemperature && !StopPressed && !StopFault && !DroppedForAir;

    public bool DroppedForAir { get; private set; }

    /// <summary>When the controller next does something by itself.</summary>
    public long Next
    {
        get
        {
            var next = Math.Min(Contactors.Next, _watchdogAt);
            if (_withoutAirSince >= 0)
            {
                next = Math.Min(next, _withoutAirSince + AirFlowGrace);
            }

            return _runOnUntil >= 0 ? Math.Min(next, _runOnUntil) : next;
        }
    }

    public void CommandElements(uint mask, long ticks)
    {
        DroppedByWatchdog = false;
        DroppedByProtection = false;
        Contactors.Command(mask, ticks);
    }

    public void CommandFan(bool on, long ticks)
    {
        if (FanCommanded && !on)
        {
            _runOnUntil = ticks + FanRunOnSeconds * TicksPerSecond;
        }

        FanCommanded = on;
    }

    public void SetWatchdog(int seconds, long ticks)
    {
        WatchdogSeconds = seconds;
        Fed(ticks);
    }

    /// <summary>A valid request came: the watchdog starts again.</summary>
    public void Fed(long ticks) =>
        _watchdogAt = WatchdogSeconds == 0 || WatchdogDead ? long.MaxValue : ticks + WatchdogSeconds * TicksPerSecond;

    public void PressStop(bool pressed, long ticks)
    {
        StopPressed = pressed;
        DropOnStop(ticks);
    }

    public void FailStop(bool pressed, long ticks)
    {
        StopFault = pressed;
        DropOnStop(ticks);
    }

    /// <summary>Does what is due and passes the result to the circuit.</summary>
    public void Act(in PlantState state, Switches set)
    {
        if (state.Ticks >= _watchdogAt)
        {
            DroppedByWatchdog |= Contactors.Commanded != 0;
            Contactors.Command(0, state.Ticks);
            _watchdogAt = long.MaxValue;
        }

        if (_runOnUntil >= 0 && state.Ticks >= _runOnUntil)
        {
            _runOnUntil = -1;
        }

        Protect(in state);
        Contactors.MoveUpTo(state.Ticks);
        set.Closed = Contactors.Closed;
        set.FanTurning = (FanCommanded || _runOnUntil >= 0) && !FanFailed;
    }

    public double OutletCelsius(in PlantState state) =>
        SensorHot ? bank.OverTemperatureCelsius + 25 : ambientCelsius + state.OutletRise;

    private void DropOnStop(long ticks)
    {
        if (StopPressed || StopFault)
        {
            Drop(ticks);
        }
    }

    private void Protect(in PlantState state)
    {
        AirFlowPresent = state.AirFlow > AirFlowThreshold;
        var limit = bank.OverTemperatureCelsius;
        var outlet = OutletCelsius(in state);

        // Ten kelvin of hysteresis, as a bimetal has.
        OverTemperature = OverTemperature ? outlet > limit - 10 : outlet > limit;
        if (OverTemperature)
        {
            Drop(state.Ticks);
        }

        if (AirFlowPresent || Contactors.Closed == 0)
        {
            _withoutAirSince = -1;
            DroppedForAir &= !AirFlowPresent;
            return;
        }

        _withoutAirSince = _withoutAirSince < 0 ? state.Ticks : _withoutAirSince;
        if (state.Ticks - _withoutAirSince >= AirFlowGrace)
        {
            DroppedForAir = true;
            Drop(state.Ticks);
            _withoutAirSince = state.Ticks;
        }
    }

    private void Drop(long ticks)
    {
        if (Contactors.Commanded != 0)
        {
            DroppedByProtection = true;
            Contactors.Command(0, ticks);
        }
    }
}
