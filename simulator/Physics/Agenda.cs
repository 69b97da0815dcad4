namespace LoadTest.Simulator.Physics;

/// <summary>What is to happen at given times; equal times happen in the order they were entered.</summary>
internal sealed class Agenda
{
    private readonly List<(long Ticks, Action Act)> _entries = [];

    /// <summary>Time of the next entry; far away when there is none.</summary>
    public long Next => _entries.Count == 0 ? long.MaxValue : _entries[0].Ticks;

    public void Add(long ticks, Action act)
    {
        var place = _entries.Count;
        while (place > 0 && _entries[place - 1].Ticks > ticks)
        {
            place--;
        }

        _entries.Insert(place, (ticks, act));
    }

    public void ActUpTo(long ticks)
    {
        while (Next <= ticks)
        {
            var act = _entries[0].Act;
            _entries.RemoveAt(0);
            act();
        }
    }

    public void Clear() => _entries.Clear();
}
