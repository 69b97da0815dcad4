using System.Text;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Serving;

/// <summary>A simulated bench on wires of this machine: every instrument of a bench file on a port of its own, and the hands.</summary>
/// <remarks>Instruments on serial lines are served on pseudo-terminals, all others on loopback TCP.</remarks>
internal sealed class BenchServer : IDisposable
{
    /// <summary>Name of the hands among the instruments.</summary>
    public const string HandsName = "hands";

    private const string ProveWord = "prove ";
    private readonly Dictionary<string, IServedPort> _ports = new(StringComparer.Ordinal);
    private readonly StringBuilder _line = new();

    /// <summary>Serves at once; everything happens on the pump, which has to run.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="world">Its world, framing that of the bench.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <param name="seed">Seed of the world.</param>
    /// <param name="setting">Where to serve it, and who is told.</param>
    /// <exception cref="IOException">An instrument of the bench is none of the world, or the system gives no port for it.</exception>
    public BenchServer(Bench bench, WorldFile world, Pump pump, ulong seed, ServerSetting setting)
    {
        Secret = StartProof.NewSecret();
        Simulated = SimulatedBench.Create(world, pump, seed, Secret);
        var served = new List<ServedInstrument>();
        foreach (var instrument in bench.Wired)
        {
            var device = Device(instrument);
            IServedPort opened = instrument.Line is LineText.Serial serial
                ? new TerminalPort(device, pump, setting.Link(instrument.Id), serial, setting.Trace)
                : new DevicePort(device, pump, setting.Port(served.Count), new PortSetting(null, false, setting.Trace));
            _ports.Add(instrument.Id, opened);
            served.Add(Served(instrument.Id, device, opened));
        }
        var hands = new DevicePort(
            Simulated.Hands,
            pump,
            setting.Port(served.Count),
            new PortSetting(HandsReceive, true, setting.Trace)
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
        ServerSetting.LeaveOwnLinks();
        Simulated.Dispose();
    }

    private static ServedInstrument Served(string name, SimulatedDevice device, IServedPort port) =>
        new(
            name,
            device.Protocol,
            port.Line,
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
