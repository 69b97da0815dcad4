using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>Clocks of the machine a run is on: they can be set, stand still in a sleep, and run on while the program does not.</summary>
internal sealed class WildClock(Pump pump)
{
    private ClockLook _now;

    /// <summary>What they say now.</summary>
    public ClockLook Look() => _now;

    /// <summary>Strikes.</summary>
    public void Strike(ClockMishap mishap)
    {
        switch (mishap.Trouble)
        {
            case ClockTrouble.Set:
                _now = _now with { WallOffset = _now.WallOffset + mishap.Span };
                break;
            case ClockTrouble.Sleep:
                _now = new ClockLook(_now.WallOffset + mishap.Span, _now.Slept + mishap.Span);
                break;
            default:
                pump.Pass(mishap.Span);
                break;
        }
    }
}
