using System.Collections.Immutable;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;
using FileBench = LoadTest.Sequencer.Benches.Bench;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>The demo bench simulated in memory, with the adapters of its file on its lines.</summary>
internal sealed class SimulatedRig : IDisposable
{
    private SimulatedRig(Pump pump, string protocol)
    {
        var world = WorldFile.Demo();
        world = world with { Bank = world.Bank with { Protocol = protocol } };
        Bench = SimulatedBench.Create(world, pump, 1);
        var file = ReadBench(protocol == "modbus-tcp" ? "demo-modbus-tcp.yaml" : "demo.yaml");
        Instruments =
        [
            .. file.Wired.Select(instrument =>
                (
                    instrument,
                    InstrumentFactory.Create(
                        instrument,
                        instrument.Id == file.Bank.InstrumentId ? file.Bank : null,
                        Join(Bench.Devices.Single(d => d.Name == instrument.Id), pump),
                        pump
                    )
                )
            ),
        ];
        var bank = Instruments.Single(i => i.Connected.Load is not null);
        Load = bank.Connected.Load!;
        BankMeter = bank.Connected.Meter;
    }

    /// <summary>Runs a test on one, in virtual time.</summary>
    public static void OnBench(string protocol, Func<SimulatedRig, Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        using var rig = new SimulatedRig(pump, protocol);
        pump.Run(() => body(rig, pump));
    }

    public SimulatedBench Bench { get; }

    public ImmutableArray<(BenchInstrument Instrument, ConnectedInstrument Connected)> Instruments { get; }

    public ILoad Load { get; }

    public IMeter BankMeter { get; }

    public void Dispose() => Bench.Dispose();

    private static MemoryLine Join(SimulatedDevice device, Pump pump)
    {
        var line = new MemoryLine(device.Name, device.Protocol == "modbus-rtu", pump) { ToDevice = device.Receive };
        device.Answer = line.Deliver;
        device.Plugged = line.Plug;
        return line;
    }

    private static FileBench ReadBench(string name)
    {
        var folder = Path.Combine(AppContext.BaseDirectory, "profiles");
        return BenchReader
            .Read(
                name,
                File.ReadAllBytes(Path.Combine(folder, "benches", name)),
                definition => new ReadOnlyMemory<byte>(File.ReadAllBytes(Path.Combine(folder, definition)))
            )
            .Value!;
    }
}
