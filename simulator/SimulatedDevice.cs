namespace LoadTest.Simulator;

/// <summary>Something on the bench that takes bytes and gives bytes back.</summary>
/// <remarks>Everything happens on the thread of the time provider's timers: the host hands bytes in and takes answers on its pump. An
/// answer is never given inside <see cref="Receive"/>; it comes by a timer, after the device's own time.</remarks>
public abstract class SimulatedDevice : IDisposable
{
    private protected SimulatedDevice(string name, string protocol, byte unitId)
    {
        Name = name;
        Protocol = protocol;
        UnitId = unitId;
    }

    /// <summary>Name in the world file.</summary>
    public string Name { get; }

    /// <summary>"modbus-rtu", "modbus-tcp", "scpi", "text" or "panel".</summary>
    public string Protocol { get; }

    /// <summary>Modbus unit identifier; 0 for the other protocols.</summary>
    public byte UnitId { get; }

    /// <summary>Where answers go; set by whoever connects. Each answer is a fresh array the receiver may keep.</summary>
    public Action<ReadOnlyMemory<byte>>? Answer { get; set; }

    /// <summary>Time one character takes on the device's serial line; zero where the wire takes none worth counting.</summary>
    public TimeSpan CharacterTime { get; set; }

    /// <summary>How long before now the bytes that are being received had really come; an answer's time counts from there.</summary>
    public TimeSpan Late { get; set; }

    /// <summary>Told when its plug is pulled, false, or put back, true; set by whoever can do that to its wire.</summary>
    public Action<bool>? Plugged { get; set; }

    /// <summary>Whether part of a request has come and its end has not.</summary>
    public virtual bool IsMidRequest => false;

    /// <summary>Takes bytes off the wire, in any portions.</summary>
    public abstract void Receive(ReadOnlySpan<byte> bytes);

    /// <summary>A new connection: what an earlier one left half sent, unanswered or unlocked is forgotten.</summary>
    public abstract void Connected();

    /// <summary>From now on to so long after what is being received had come; not before now.</summary>
    private protected TimeSpan FromArrival(TimeSpan after) => after > Late ? after - Late : TimeSpan.Zero;

    /// <summary>Stops its timers.</summary>
    public void Dispose()
    {
        Dispose(disposing: true);
        GC.SuppressFinalize(this);
    }

    /// <summary>Stops its timers.</summary>
    protected abstract void Dispose(bool disposing);
}
