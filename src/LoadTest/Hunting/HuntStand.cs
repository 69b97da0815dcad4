using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;

namespace LoadTest.Hunting;

/// <summary>A simulated bench of one seed: every instrument behind a wire that can misbehave, hands behind one that does not.</summary>
internal sealed class HuntStand : IDisposable
{
    private const string Secret = "5eed";

    /// <summary>Makes it, at rest.</summary>
    public HuntStand(HuntPlan plan, Pump pump, ulong seed, Draw draw, Planted planted)
    {
        var bench = plan.Plan.Bench;
        Simulated = SimulatedBench.Create(plan.World, pump, seed, Secret);
        var meters = new Dictionary<string, IMeter>(StringComparer.Ordinal);
        var links = new List<WildLink>();
        ILoad? load = null;
        foreach (var instrument in bench.Wired)
        {
            var name = instrument.Line is LineText.Simulated simulated ? simulated.Device : instrument.Id;
            var link = new WildLink(Simulated.Devices.First(d => d.Name == name), pump, draw.Branch());
            var isBank = instrument.Id == bench.Bank.InstrumentId;
            var line = isBank ? planted.Line(link.Line) : link.Line;
            var connected = InstrumentFactory.Create(instrument, isBank ? bench.Bank : null, line, pump);
            meters.Add(instrument.Id, connected.Meter);
            links.Add(link);
            Output ??= connected.OutputEnable;
            if (isBank)
                (load, BankLink) = (connected.Load, link);
        }
        (Meters, Links) = (meters, links);
        Load = load ?? throw new ArgumentException($"Bench {bench.Name} has no load bank.", nameof(plan));
        var hands = new MemoryLine("hands", isHalfDuplex: false, pump) { ToDevice = Simulated.Hands.Receive };
        Simulated.Hands.Answer = hands.Deliver;
        Simulated.Hands.Connected();
        Hands = new Hands(hands);
    }

    /// <summary>The bench, whose truth nobody else knows.</summary>
    public SimulatedBench Simulated { get; }

    /// <summary>The bank, as the engine sees it.</summary>
    public ILoad Load { get; }

    /// <summary>The relay that lets the unit give output; null where the bench has none.</summary>
    public IOutputEnable? Output { get; }

    /// <summary>Every instrument by its id.</summary>
    public IReadOnlyDictionary<string, IMeter> Meters { get; }

    /// <summary>The wires.</summary>
    public IReadOnlyList<WildLink> Links { get; }

    /// <summary>The bank's wire.</summary>
    public WildLink BankLink { get; } = null!;

    /// <summary>The hands at the machine.</summary>
    public Hands Hands { get; }

    /// <summary>Opens the hands.</summary>
    public Task UnlockAsync() => Hands.SayAsync($"secret {Secret}");

    /// <summary>Every fault is taken away, and the unit is as before a run: engine stopped, output off.</summary>
    public void Repair()
    {
        Simulated.ClearFaults();
        foreach (var link in Links)
            link.Repair();
        Simulated.Source.SetOutput(on: false);
        Simulated.Source.StopEngine();
    }

    public void Dispose() => Simulated.Dispose();
}
