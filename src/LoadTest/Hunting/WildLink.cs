using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;

namespace LoadTest.Hunting;

/// <summary>The wire between a line in memory and a simulated device; it can be told to misbehave.</summary>
internal sealed class WildLink
{
    private const int MostPieces = 4;
    private const int MostNoise = 6;

    private readonly MemoryLine _line;
    private readonly SimulatedDevice _device;
    private readonly Pump _pump;
    private readonly Draw _draw;
    private readonly int[] _left = new int[Enum.GetValues<WireTrouble>().Length];
    private readonly TimeSpan[] _span = new TimeSpan[Enum.GetValues<WireTrouble>().Length];
    private long _lastDue;
    private long _goneUntil;

    /// <summary>Joins the two.</summary>
    public WildLink(SimulatedDevice device, Pump pump, Draw draw)
    {
        (_device, _pump, _draw) = (device, pump, draw);
        _line = new MemoryLine(device.Name, device.Protocol == "modbus-rtu", pump) { ToDevice = FromLine };
        device.Answer = FromDevice;
        device.Plugged = isIn =>
        {
            Plugged?.Invoke(isIn);
            _line.Plug(isIn);
        };
        device.Connected();
    }

    /// <summary>Told of each frame the program sends, before anything happens to it.</summary>
    public Action<ReadOnlySpan<byte>>? Sent { get; set; }

    /// <summary>Told when the plug is pulled, false, or put back, true.</summary>
    public Action<bool>? Plugged { get; set; }

    /// <summary>Told after each frame was carried, either way.</summary>
    public Action? Carried { get; set; }

    /// <summary>The program's end.</summary>
    public ILine Line => _line;

    /// <summary>Name of the device at the other end.</summary>
    public string Device => _device.Name;

    /// <summary>Misbehaves from now on.</summary>
    public void Strike(WireMishap mishap)
    {
        if (mishap.Trouble == WireTrouble.Gone)
            _goneUntil = _pump.GetTimestamp() + mishap.Span.Ticks;
        _left[(int)mishap.Trouble] = mishap.Count;
        _span[(int)mishap.Trouble] = mishap.Span;
    }

    /// <summary>Misbehaves no more; what is on its way still arrives.</summary>
    public void Repair()
    {
        _goneUntil = 0;
        Array.Clear(_left);
    }

    private bool IsGone => _pump.GetTimestamp() < _goneUntil;

    private void FromLine(ReadOnlySpan<byte> bytes)
    {
        Sent?.Invoke(bytes);
        if (!IsGone && !Spend(WireTrouble.DropRequest))
        {
            if (Spend(WireTrouble.Echo))
                Deliver(bytes.ToArray(), TimeSpan.FromMilliseconds(0.2));
            if (Spend(WireTrouble.DamageRequest))
                _device.Receive(Damaged(bytes));
            else
                _device.Receive(bytes);
        }
        Carried?.Invoke();
    }

    private void FromDevice(ReadOnlyMemory<byte> answer)
    {
        if (IsGone || Spend(WireTrouble.DropReply))
            return;
        var bytes = answer;
        if (Spend(WireTrouble.DamageReply))
            bytes = Damaged(bytes.Span);
        if (Spend(WireTrouble.Noise))
            bytes = WithNoise(bytes.Span);
        var delay = Spend(WireTrouble.Late) ? _span[(int)WireTrouble.Late] : TimeSpan.Zero;
        if (Spend(WireTrouble.Split))
            DeliverSplit(bytes, delay);
        else
            Deliver(bytes, delay);
        if (Spend(WireTrouble.Duplicate))
            Deliver(answer, delay + TimeSpan.FromMilliseconds(_draw.Below(3)));
    }

    private bool Spend(WireTrouble trouble) => _left[(int)trouble] > 0 && _left[(int)trouble]-- > 0;

    private byte[] Damaged(ReadOnlySpan<byte> bytes)
    {
        var damaged = bytes.ToArray();
        for (var flips = 1 + _draw.Below(3); flips > 0; flips--)
            damaged[_draw.Below(damaged.Length)] ^= (byte)(1 << _draw.Below(8));
        return damaged;
    }

    private byte[] WithNoise(ReadOnlySpan<byte> bytes)
    {
        var noise = new byte[1 + _draw.Below(MostNoise)];
        for (var k = 0; k < noise.Length; k++)
            noise[k] = (byte)_draw.Below(256);
        return [.. noise, .. bytes];
    }

    private void DeliverSplit(ReadOnlyMemory<byte> bytes, TimeSpan delay)
    {
        for (var pieces = 2 + _draw.Below(MostPieces - 1); pieces > 1 && bytes.Length > 1; pieces--)
        {
            var cut = 1 + _draw.Below(bytes.Length - 1);
            Deliver(bytes[..cut], delay);
            bytes = bytes[cut..];
            delay += _span[(int)WireTrouble.Split];
        }
        Deliver(bytes, delay);
    }

    /// <summary>Hands bytes to the program after a time, never before earlier ones.</summary>
    private void Deliver(ReadOnlyMemory<byte> bytes, TimeSpan delay)
    {
        var now = _pump.GetTimestamp();
        _lastDue = Math.Max(_lastDue, now + delay.Ticks);
        if (_lastDue == now)
        {
            Arrive(bytes);
            return;
        }
        _pump.CreateTimer(_ => Arrive(bytes), null, TimeSpan.FromTicks(_lastDue - now), Timeout.InfiniteTimeSpan);
    }

    private void Arrive(ReadOnlyMemory<byte> bytes)
    {
        if (!IsGone)
            _line.Deliver(bytes);
        Carried?.Invoke();
    }
}
