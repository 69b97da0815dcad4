using System.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Serving;

/// <summary>A simulated bench on loopback TCP: every instrument of a bench file on a port of its own, and the hands.</summary>
internal sealed class BenchServer : IDisposable
{
    /// <summary>Name of the hands among the instruments.</summary>
    public const string HandsName = "hands";

    private const string ProveWord = "prove ";
    private readonly Dictionary<string, DevicePort> _ports = new(StringComparer.Ordinal);
    private readonly StringBuilder _line = new();

    /// <summary>Serves at once; everything happens on the pump, which has to run.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="world">Its world, framing that of the bench.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <param name="seed">Seed of the world.</param>
    /// <param name="port">Port wanted for an instrument by its place in the list, the hands last; 0 for any.</param>
    /// <param name="trace">Told of everything that passes; null for nobody.</param>
    /// <exception cref="IOException">An instrument of the bench is none of the world.</exception>
    public BenchServer(
        Bench bench,
        WorldFile world,
        Pump pump,
        ulong seed,
        Func<int, int> port,
        Action<string, bool, ReadOnlyMemory<byte>>? trace
    )
    {
        Secret = StartProof.NewSecret();
        Simulated = SimulatedBench.Create(world, pump, seed, Secret);
        var served = new List<ServedInstrument>();
        foreach (var instrument in bench.Instruments)
        {
            var device = Device(instrument);
            var opened = new DevicePort(device, pump, port(served.Count), new PortSetting(null, false, trace));
            _ports.Add(instrument.Id, opened);
            served.Add(Served(instrument.Id, device, opened));
        }
        var hands = new DevicePort(
            Simulated.Hands,
            pump,
            port(served.Count),
            new PortSetting(HandsReceive, true, trace)
        );
        _ports.Add(HandsName, hands);
        served.Add(Served(HandsName, Simulated.Hands, hands));
        Instruments = served;
    }

    /// <summary>Secret of this start: whoever has it may use the hands, and gets the proof.</summary>
    public string Secret { get; }

    /// <summary>What is served where, in the order of the bench file, the hands last.</summary>
    public IReadOnlyList<ServedInstrument> Instruments { get; }

    /// <summary>How many clients all ports have together.</summary>
    public int Clients => _ports.Values.Sum(p => p.Clients);

    /// <summary>The bench itself; on the pump only.</summary>
    public SimulatedBench Simulated { get; }

    /// <summary>Closes every port.</summary>
    public void Dispose()
    {
        foreach (var port in _ports.Values)
            port.Dispose();
        Simulated.Dispose();
    }

    private static ServedInstrument Served(string name, SimulatedDevice device, DevicePort port) =>
        new(
            name,
            device.Protocol,
            port.Address.Address.ToString(),
            port.Address.Port,
            device.Protocol.StartsWith("modbus", StringComparison.Ordinal) ? device.UnitId : null
        );

    private SimulatedDevice Device(BenchInstrument instrument)
    {
        var name = instrument.Line is LineText.Simulated simulated ? simulated.Device : instrument.Id;
        return Simulated.Devices.FirstOrDefault(d => d.Name == name && d != Simulated.Hands)
            ?? throw new IOException(
                $"{instrument.Place}: the simulated world has no device {name}; it has {string.Join(", ", Simulated.Devices.Where(d => d != Simulated.Hands).Select(d => d.Name))}."
            );
    }

    // Lines to the hands pass through, but for the question that only whoever serves the ports can answer.
    private void HandsReceive(ReadOnlyMemory<byte> bytes)
    {
        const int LongestLine = 1024;
        foreach (var b in bytes.Span)
        {
            if (_line.Length < LongestLine || b == (byte)'\n')
                _line.Append((char)b);
            if (b != (byte)'\n')
                continue;
            var line = _line.ToString();
            _line.Clear();
            if (line.StartsWith(ProveWord, StringComparison.Ordinal))
                Prove(line[ProveWord.Length..].Trim());
            else
                Simulated.Hands.Receive(Encoding.Latin1.GetBytes(line));
        }
    }

    private void Prove(string nonce)
    {
        var ends = _ports.Where(p => p.Key != HandsName).Select(p => $"{p.Key}={p.Value.Ends}");
        _ports[HandsName].Answer(Encoding.ASCII.GetBytes(StartProof.Answer(Secret, nonce, ends) + "\n"));
    }
}
