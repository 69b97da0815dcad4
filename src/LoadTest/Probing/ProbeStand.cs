using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Probing;

/// <summary>Every line of a bench opened for looking at; one that cannot be opened stops none of the others.</summary>
internal sealed class ProbeStand : IDisposable
{
    private readonly List<IDisposable> _lines = [];
    private readonly Pump _pump;
    private readonly SimulatedBench? _simulated;

    /// <summary>Opens the lines.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="world">Its world, when it has devices in memory.</param>
    /// <param name="wires">Where a served bench is; null for the bench file's own addresses.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <param name="only">Id of the only instrument wanted; null for all.</param>
    public ProbeStand(
        Bench bench,
        WorldFile? world,
        IReadOnlyDictionary<string, LineText>? wires,
        Pump pump,
        string? only = null
    )
    {
        _pump = pump;
        _simulated = world is null ? null : SimulatedBench.Create(world, pump, 1);
        Instruments =
        [
            .. bench.Instruments.Where(i => only is null || i.Id == only).Select(i => Open(i, LineOf(i, wires))),
        ];
    }

    /// <summary>The instruments, in the order of the bench file.</summary>
    public IReadOnlyList<ProbedInstrument> Instruments { get; }

    /// <summary>The line of an instrument: the one given for it, or that of its bench file.</summary>
    public static LineText LineOf(BenchInstrument instrument, IReadOnlyDictionary<string, LineText>? wires) =>
        wires is not null && wires.TryGetValue(instrument.Id, out var served) ? served : instrument.Line;

    public void Dispose()
    {
        foreach (var line in _lines)
            line.Dispose();
        _simulated?.Dispose();
    }

    private ProbedInstrument Open(BenchInstrument instrument, LineText text)
    {
        if (text is LineText.Person)
            return new ProbedInstrument(instrument, "a person", null, null, "");
        var address = WireText.Words(text);
        try
        {
            var definition = instrument.Definition;
            var line = text is LineText.Simulated simulated
                ? Simulated(simulated.Device, definition.IsHalfDuplex)
                : Wire(instrument.Id, text, definition.IsHalfDuplex);
            var tapped = new TappedLine(line, definition, _pump);
            return new ProbedInstrument(
                instrument,
                address,
                tapped,
                InstrumentFactory.Create(instrument, null, tapped, _pump),
                ""
            );
        }
        catch (IOException trouble)
        {
            return new ProbedInstrument(instrument, address, null, null, trouble.Message);
        }
    }

    private ILine Wire(string name, LineText text, bool isHalfDuplex)
    {
        var open = OpenLine.Open(name, text, isHalfDuplex, _pump);
        _lines.Add(open);
        return open.Line;
    }

    private MemoryLine Simulated(string name, bool isHalfDuplex)
    {
        var device =
            _simulated?.Devices.FirstOrDefault(d => d.Name == name && d != _simulated.Hands)
            ?? throw new IOException($"The simulated world has no device {name}.");
        var line = new MemoryLine(name, isHalfDuplex, _pump) { ToDevice = device.Receive };
        device.Answer = line.Deliver;
        device.Connected();
        return line;
    }
}
