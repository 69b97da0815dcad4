using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>Faults planted between the engine and what watches its ports, to show that the hunt finds them.</summary>
/// <remarks>Only tests plant any. Each is made anew for every seed.</remarks>
internal sealed record Planted
{
    /// <summary>Nothing planted.</summary>
    public static readonly Planted None = new();

    /// <summary>Stands before the bank.</summary>
    public Func<ILoad, Pump, ILoad> Load { get; init; } = (load, _) => load;

    /// <summary>Stands between the bank's port, as it is watched, and its adapter.</summary>
    public Func<ILoad, Pump, ILoad> Adapter { get; init; } = (load, _) => load;

    /// <summary>Stands between the bank's adapter and its line.</summary>
    public Func<ILine, ILine> Line { get; init; } = line => line;

    /// <summary>Stands before the output-enable relay, where the bench has one.</summary>
    public Func<IOutputEnable, IOutputEnable> Output { get; init; } = relay => relay;

    /// <summary>Stands before each instrument.</summary>
    public Func<IMeter, Pump, IMeter> Meter { get; init; } = (meter, _) => meter;

    /// <summary>Stands before the machine's clocks.</summary>
    public Func<Func<ClockLook>, Func<ClockLook>> Clocks { get; init; } = look => look;

    /// <summary>Stands before the journal.</summary>
    public Func<IJournal, Pump, IJournal> Journal { get; init; } = (journal, _) => journal;
}
