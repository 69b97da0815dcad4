namespace LoadTest.Simulator.Lines;

/// <summary>What goes wrong on a device's wire; the same in memory and on real wires.</summary>
internal sealed class LineFaults
{
    private const int MostGarbage = 7;

    private readonly int[] _left = new int[Enum.GetValues<LineTrouble>().Length];
    private readonly TimeSpan[] _size = new TimeSpan[Enum.GetValues<LineTrouble>().Length];
    private byte[] _held = [];
    private int _cut;
    private int _flip;
    private uint _noise = 0x9E37;

    /// <summary>Hears nothing and says nothing, while the connection stands: half open.</summary>
    public bool Silent { get; set; }

    /// <summary>How long the device takes for each request, one after the other; zero when it serves them as they come.</summary>
    public TimeSpan Slowness { get; set; }

    /// <summary>Goes wrong from now on.</summary>
    /// <param name="trouble">How.</param>
    /// <param name="count">How many times; 0 until cleared.</param>
    /// <param name="size">Delay or pause, where there is one.</param>
    public void Strike(LineTrouble trouble, int count, TimeSpan size)
    {
        _left[(int)trouble] = Lasting(count);
        _size[(int)trouble] = size;
    }

    /// <summary>All is well again; what is on its way still arrives.</summary>
    public void Clear()
    {
        Silent = false;
        Slowness = TimeSpan.Zero;
        Array.Clear(_left);
        _held = [];
    }

    /// <summary>Uses up one of a trouble the device itself has to make; true when there was one.</summary>
    public bool Takes(LineTrouble trouble) => Spend(ref _left[(int)trouble]);

    /// <summary>Whether the device hears what was sent; on a wire with an echo, that comes back.</summary>
    public bool Hears(ReadOnlySpan<byte> request, Outbox outbox)
    {
        if (Silent || Takes(LineTrouble.DropRequest))
        {
            return false;
        }

        if (Takes(LineTrouble.Echo))
        {
            outbox.Send(request.ToArray(), TimeSpan.Zero);
        }

        return true;
    }

    /// <summary>Puts an answer into the outbox, as the faults let it.</summary>
    public void Send(Outbox outbox, byte[] bytes, TimeSpan after)
    {
        // An answer already on its way when the device falls silent is lost too.
        if (Silent || Takes(LineTrouble.Drop))
        {
            return;
        }

        if (Takes(LineTrouble.Merge))
        {
            _held = [.. _held, .. bytes];
            return;
        }

        if (_held.Length > 0)
        {
            (bytes, _held) = ([.. _held, .. bytes], []);
        }

        if (Takes(LineTrouble.Late))
        {
            after += _size[(int)LineTrouble.Late];
        }

        var whole = bytes;
        if (Takes(LineTrouble.Corrupt))
        {
            bytes = Flipped(bytes);
        }

        if (Takes(LineTrouble.Garbage))
        {
            bytes = [.. Garbage(), .. bytes];
        }

        Deliver(outbox, bytes, after);
        if (Takes(LineTrouble.Duplicate))
        {
            outbox.Send((byte[])whole.Clone(), after);
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

    private void Deliver(Outbox outbox, byte[] bytes, TimeSpan after)
    {
        if (bytes.Length > 1 && Takes(LineTrouble.Drip))
        {
            for (var k = 0; k < bytes.Length; k++)
            {
                outbox.Send([bytes[k]], after + _size[(int)LineTrouble.Drip] * k);
            }
        }
        else if (bytes.Length > 1 && Takes(LineTrouble.Split))
        {
            _cut = _cut % (bytes.Length - 1) + 1;
            outbox.Send(bytes[.._cut], after);
            outbox.Send(bytes[_cut..], after + _size[(int)LineTrouble.Split]);
        }
        else
        {
            outbox.Send(bytes, after);
        }
    }

    // Another bit each time, beginning in the middle, so that no part of a frame is spared for long.
    private byte[] Flipped(byte[] bytes)
    {
        var flipped = (byte[])bytes.Clone();
        flipped[(bytes.Length / 2 + _flip) % bytes.Length] ^= (byte)(1 << (4 + _flip) % 8);
        _flip = (_flip + 1) % (8 * bytes.Length);
        return flipped;
    }

    // Numerical Recipes' generator, 32 bits: chance without a seed of its own, because any bytes will do.
    private byte[] Garbage()
    {
        var garbage = new byte[1 + _noise % MostGarbage];
        for (var k = 0; k < garbage.Length; k++)
        {
            _noise = unchecked(_noise * 1664525 + 1013904223);
            garbage[k] = (byte)(_noise >> 24);
        }

        return garbage;
    }
}
