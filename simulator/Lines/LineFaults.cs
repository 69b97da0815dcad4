namespace LoadTest.Simulator.Lines;

/// <summary>What goes wrong with a device's answers; counts of −1 mean until cleared.</summary>
internal sealed class LineFaults
{
    private int _drop;
    private int _late;
    private int _corrupt;
    private int _duplicate;
    private TimeSpan _lateBy;

    /// <summary>Hears nothing and says nothing.</summary>
    public bool Silent { get; set; }

    public void Drop(int count) => _drop = Lasting(count);

    public void Corrupt(int count) => _corrupt = Lasting(count);

    public void Duplicate(int count) => _duplicate = Lasting(count);

    public void Delay(int count, TimeSpan by) => (_late, _lateBy) = (Lasting(count), by);

    public void Clear()
    {
        Silent = false;
        _drop = _late = _corrupt = _duplicate = 0;
    }

    /// <summary>Puts an answer into the outbox, as the faults let it.</summary>
    public void Send(Outbox outbox, byte[] bytes, TimeSpan after)
    {
        // An answer already on its way when the device falls silent is lost too.
        if (Silent || Spend(ref _drop))
        {
            return;
        }

        if (Spend(ref _late))
        {
            after += _lateBy;
        }

        if (Spend(ref _corrupt))
        {
            bytes = (byte[])bytes.Clone();
            bytes[bytes.Length / 2] ^= 0x10;
        }

        outbox.Send(bytes, after);
        if (Spend(ref _duplicate))
        {
            outbox.Send((byte[])bytes.Clone(), after);
        }
    }

    /// <summary>A count as faults give it, 0 for ever, in the form kept here.</summary>
    public static int Lasting(int count) => count == 0 ? -1 : count;

    /// <summary>Uses one of a count; true when there was one.</summary>
    public static bool Spend(ref int count)
    {
        if (count == 0)
        {
            return false;
        }

        count -= count > 0 ? 1 : 0;
        return true;
    }
}
