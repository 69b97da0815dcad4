using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Running;

/// <summary>The embedded simulated bench with every instrument of a bench file on a line of its own, all on one pump.</summary>
internal sealed class SimulatedStand : IStand
{
    private const string Secret = "5eed";
    private readonly Dictionary<string, LinkCounters> _links = new(StringComparer.Ordinal);

    public SimulatedStand(Bench bench, WorldFile world, Pump pump, ulong seed)
    {
        Simulated = SimulatedBench.Create(world, pump, seed, Secret);
        var meters = new Dictionary<string, IMeter>(StringComparer.Ordinal);
        ILoad? load = null;
        foreach (var instrument in bench.Wired)
        {
            var name = instrument.Line is LineText.Simulated simulated ? simulated.Device : instrument.Id;
            var device = Simulated.Devices.First(d => d.Name == name);
            var line = Join(device, pump);
            var isBank = instrument.Id == bench.Bank.InstrumentId;
            var connected = InstrumentFactory.Create(instrument, isBank ? bench.Bank : null, line, pump);
            meters.Add(instrument.Id, connected.Meter);
            _links.Add(instrument.Id, connected.Link);
            load = isBank ? connected.Load : load;
            Output ??= connected.OutputEnable;
        }
        Meters = meters;
        Load = load ?? throw new ArgumentException($"Bench {bench.Name} has no load bank on its lines.", nameof(bench));
        Hands = new Hands(Join(Simulated.Hands, pump));
    }

    public SimulatedBench Simulated { get; }

    public IReadOnlyDictionary<string, IMeter> Meters { get; }

    public IReadOnlyDictionary<string, LinkCounters> Links => _links;

    public ILoad Load { get; }

    public IOutputEnable? Output { get; }

    public Hands Hands { get; }

    Hands? IStand.Hands => Hands;

    public SimulationProof? Proof => SimulationProof.InMemory;

    public IReadOnlyList<string> Remarks => [];

    /// <summary>Lines in memory lead nowhere else: nothing to prove, and the hands are opened.</summary>
    public Task ProveSimulatedAsync() => UnlockAsync();

    /// <summary>Opens the hands with the secret of this start.</summary>
    public Task UnlockAsync() => Hands.SayAsync($"secret {Secret}");

    public void Dispose() => Simulated.Dispose();

    private static MemoryLine Join(SimulatedDevice device, Pump pump)
    {
        var line = new MemoryLine(device.Name, device.Protocol is "modbus-rtu" or "text", pump)
        {
            ToDevice = device.Receive,
        };
        device.Answer = line.Deliver;
        device.Plugged = line.Plug;
        device.Connected();
        return line;
    }
}
