using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Text;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>A simulated bench and any of its devices put on a line by a shipped definition file.</summary>
internal sealed class EveryKindRig(WorldFile world, Pump pump) : IDisposable
{
    public SimulatedBench Bench { get; } = SimulatedBench.Create(world, pump, 1);

    /// <summary>The shipped definition of this name.</summary>
    public static InstrumentDefinition Definition(string file)
    {
        var path = Path.Combine(AppContext.BaseDirectory, "profiles", "instruments", file);
        var read = DefinitionReader.Read(file, File.ReadAllBytes(path));
        Assert.Empty(read.Findings);
        return read.Value!;
    }

    /// <summary>A device behind a definition.</summary>
    public ConnectedInstrument Connect(string file, string device, string? serialNumber = null)
    {
        var end = Bench.Devices.Single(d => d.Name == device);
        var definition = Definition(file);
        var line = new MemoryLine(device, definition.IsHalfDuplex, pump) { ToDevice = end.Receive };
        end.Answer = line.Deliver;
        return InstrumentFactory.Create(Instrument(file, device, serialNumber), null, line, pump);
    }

    /// <summary>An instrument of a bench file.</summary>
    public static BenchInstrument Instrument(string file, string id, string? serialNumber) =>
        new(
            id,
            $"instruments/{file}",
            Definition(file),
            new LineText.Simulated(id),
            serialNumber,
            null,
            new Place("bench.yaml", 1, 1)
        );

    public void Dispose() => Bench.Dispose();
}
