using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>The bank's contactors: commanded at once, moved after their delay, unless stuck.</summary>
internal sealed class Contactors
{
    private readonly long[] _due;
    private readonly long _closeTicks;
    private readonly long _openTicks;

    public Contactors(BankWorld bank, int elements)
    {
        _due = new long[elements];
        Array.Fill(_due, long.MaxValue);
        All = uint.MaxValue >> (32 - _due.Length);
        _closeTicks = (long)(bank.CloseMilliseconds * 10_000);
        _openTicks = (long)(bank.OpenMilliseconds * 10_000);
    }

    /// <summary>Every element's bit.</summary>
    public uint All { get; }

    /// <summary>What was last commanded.</summary>
    public uint Commanded { get; private set; }

    /// <summary>What is really closed.</summary>
    public uint Closed { get; private set; }

    /// <summary>Contactors that do not open once closed.</summary>
    public uint Welded { get; private set; }

    /// <summary>Contactors that do not close.</summary>
    public uint Dead { get; private set; }

    /// <summary>When the next one moves.</summary>
    public long Next { get; private set; } = long.MaxValue;

    public void Command(uint mask, long ticks)
    {
        var changed = (mask ^ Commanded) & All;
        Commanded = mask & All;
        Schedule(changed, ticks);
    }

    public void Stick(uint welded, uint dead, long ticks)
    {
        Welded = welded;
        Dead = dead;
        Schedule((Commanded ^ Closed) & All, ticks);
    }

    public void MoveUpTo(long ticks)
    {
        if (Next > ticks)
        {
            return;
        }

        for (var k = 0; k < _due.Length; k++)
        {
            if (_due[k] <= ticks)
            {
                _due[k] = long.MaxValue;
                var bit = 1u << k;
                Closed = (Commanded & bit) != 0 ? Closed | (bit & ~Dead) : Closed & ~(bit & ~Welded);
            }
        }

        Next = _due.Min();
    }

    private void Schedule(uint which, long ticks)
    {
        for (var k = 0; k < _due.Length; k++)
        {
            if ((which >> k & 1) != 0)
            {
                _due[k] = ticks + ((Commanded >> k & 1) != 0 ? _closeTicks : _openTicks);
            }
        }

        Next = _due.Min();
    }
}
