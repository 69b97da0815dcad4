using System.Net;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Serving;

namespace LoadTest.Running;

/// <summary>A bench on TCP whose every line is proved to end in a simulator on this machine.</summary>
internal sealed class TcpStand : IStand
{
    private static readonly TimeSpan ConnectWithin = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan ProveAgainAfter = TimeSpan.FromMilliseconds(100);
    private const int MostProofs = 20;

    private readonly Pump _pump;
    private readonly string _secret;
    private readonly List<TcpLine> _lines = [];
    private readonly Dictionary<string, LinkCounters> _links = new(StringComparer.Ordinal);
    private readonly Dictionary<string, IMeter> _meters = new(StringComparer.Ordinal);

    /// <summary>Connects every instrument, and the hands.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="wires">Where its instruments, the hands and the secret are.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <exception cref="IOException">One of them is not on this machine, or does not answer.</exception>
    public TcpStand(Bench bench, Wires wires, Pump pump)
    {
        _pump = pump;
        _secret = wires.Secret;
        try
        {
            ILoad? load = null;
            foreach (var instrument in bench.Instruments)
            {
                var isBank = instrument.Id == bench.Bank.InstrumentId;
                var line = Connect(
                    instrument.Id,
                    wires.Instruments.TryGetValue(instrument.Id, out var address)
                        ? address
                        : throw new IOException($"{instrument.Id} is not among the lines given for this bench."),
                    instrument.Definition.IsHalfDuplex
                );
                var connected = InstrumentFactory.Create(instrument, isBank ? bench.Bank : null, line, pump);
                _meters.Add(instrument.Id, connected.Meter);
                _links.Add(instrument.Id, connected.Link);
                load = isBank ? connected.Load : load;
            }
            Load = load ?? throw new IOException($"Bench {bench.Name} has no load bank on its lines.");
            Hands = new Hands(Connect(BenchServer.HandsName, wires.Hands, isHalfDuplex: false), pump);
            Remarks =
            [
                $"Lines: {string.Join(", ", bench.Instruments.Select(i => $"{i.Id} at {Text(wires.Instruments[i.Id])}"))}; served by a simulator on this machine.",
            ];
        }
        catch (IOException)
        {
            Dispose();
            throw;
        }
    }

    public IReadOnlyDictionary<string, LinkCounters> Links => _links;

    public ILoad Load { get; }

    public IReadOnlyDictionary<string, IMeter> Meters => _meters;

    public Hands Hands { get; }

    public IReadOnlyList<string> Remarks { get; }

    /// <inheritdoc/>
    /// <remarks>The simulator may still be taking our connections in: it is asked again for a moment.</remarks>
    public async Task ProveSimulatedAsync()
    {
        string? objection = null;
        for (var tries = 0; tries < MostProofs; tries++)
        {
            var nonce = StartProof.NewNonce();
            objection = StartProof.Objection(_secret, nonce, await Hands.SayAsync($"prove {nonce}"), OwnEnds());
            if (objection is null)
                break;
            await Task.Delay(ProveAgainAfter, _pump);
        }
        if (objection is not null)
            throw new IOException(
                $"This bench is not proved simulated: {objection}. Start it with `loadtest simulate` and give what that prints."
            );
        await Hands.SayAsync($"secret {_secret}");
    }

    public void Dispose()
    {
        foreach (var line in _lines)
            line.Dispose();
    }

    private IEnumerable<(string Device, string End)> OwnEnds() =>
        _lines.Where(l => l.Name != BenchServer.HandsName).Select(l => (l.Name, l.LocalEndPoint?.ToString() ?? ""));

    private TcpLine Connect(string name, DnsEndPoint address, bool isHalfDuplex)
    {
        if (!IsLoopback(address.Host))
            throw new IOException(
                $"{name}: {Text(address)} is not on this machine. This version runs only a bench that is proved simulated: in memory, or served on loopback by `loadtest simulate`."
            );
        var line = TcpLine.Connect(name, address.Host, address.Port, isHalfDuplex, ConnectWithin, _pump, _pump.Context);
        _lines.Add(line);
        return line;
    }

    private static bool IsLoopback(string host) =>
        string.Equals(host, "localhost", StringComparison.OrdinalIgnoreCase)
        || (IPAddress.TryParse(host, out var address) && IPAddress.IsLoopback(address));

    private static string Text(DnsEndPoint address) => $"{address.Host}:{address.Port}";
}
