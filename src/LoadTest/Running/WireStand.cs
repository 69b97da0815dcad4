using System.Net;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Records;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;
using LoadTest.Serving;

namespace LoadTest.Running;

/// <summary>A bench on TCP and serial lines: a real one, or one whose every line is proved to end in a simulator on this machine.</summary>
/// <remarks>Which of the two it is, the caller says by giving the simulator's hands and secret, or neither; a real one proves nothing.</remarks>
internal sealed class WireStand : IStand
{
    private static readonly TimeSpan ProveAgainAfter = TimeSpan.FromMilliseconds(100);
    private const int MostProofs = 20;

    private readonly Pump _pump;
    private readonly string? _secret;
    private int? _simulator;
    private readonly List<OpenLine> _lines = [];
    private readonly Dictionary<string, LinkCounters> _links = new(StringComparer.Ordinal);
    private readonly Dictionary<string, IMeter> _meters = new(StringComparer.Ordinal);

    /// <summary>Connects every instrument, and the hands.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="wires">Where its instruments, the hands and the secret are.</param>
    /// <param name="pump">A pump in real time.</param>
    /// <param name="through">What each instrument's line is led through; null for straight.</param>
    /// <exception cref="IOException">One of them does not answer, or is said to be simulated and is not on this machine.</exception>
    public WireStand(Bench bench, Wires wires, Pump pump, Func<ILine, ILine>? through = null)
    {
        _pump = pump;
        _secret = wires.Secret;
        try
        {
            ILoad? load = null;
            foreach (var instrument in bench.Wired)
            {
                var isBank = instrument.Id == bench.Bank.InstrumentId;
                var line = Connect(
                    instrument.Id,
                    wires.Instruments.TryGetValue(instrument.Id, out var text)
                        ? text
                        : throw new IOException($"{instrument.Id} is not among the lines given for this bench."),
                    instrument.Definition.IsHalfDuplex
                );
                var connected = InstrumentFactory.Create(
                    instrument,
                    isBank ? bench.Bank : null,
                    through is null ? line : through(line),
                    pump
                );
                _meters.Add(instrument.Id, connected.Meter);
                _links.Add(instrument.Id, connected.Link);
                load = isBank ? connected.Load : load;
                Output ??= connected.OutputEnable;
            }
            Load = load ?? throw new IOException($"Bench {bench.Name} has no load bank on its lines.");
            if (wires.Hands is { } hands)
            {
                var text = new LineText.Tcp(hands.Host, hands.Port);
                Hands = new Hands(Connect(BenchServer.HandsName, text, isHalfDuplex: false), pump);
            }
            Remarks =
            [
                $"Lines: {string.Join(", ", bench.Wired.Select(i => $"{i.Id} at {WireText.Words(wires.Instruments[i.Id])}"))}{(Hands is null ? "." : "; served by a simulator on this machine.")}",
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

    public IOutputEnable? Output { get; }

    public IReadOnlyDictionary<string, IMeter> Meters => _meters;

    public Hands? Hands { get; }

    public SimulationProof? Proof { get; private set; }

    public IReadOnlyList<string> Remarks { get; private set; }

    /// <inheritdoc/>
    /// <remarks>The simulator may still be taking our connections in: it is asked again for a moment.</remarks>
    public async Task ProveSimulatedAsync()
    {
        if (Hands is null || _secret is null)
            return;
        string? objection = null;
        for (var tries = 0; tries < MostProofs; tries++)
        {
            var nonce = StartProof.NewNonce();
            objection = StartProof.Objection(_secret, nonce, await Hands.SayAsync($"prove {nonce}"), OwnEnds());
            if (objection is null)
                break;
            await Task.Delay(ProveAgainAfter, _pump);
        }
        objection ??= FarObjection();
        if (objection is not null)
            throw new IOException(
                $"This bench is not proved simulated: {objection}. Start it with `loadtest simulate` and give what that prints."
            );
        await Hands.SayAsync($"secret {_secret}");
        Proof = OperatingSystem.IsLinux() ? SimulationProof.OneProcess : SimulationProof.SecretAlone;
        Remarks =
        [
            _simulator is { } process
                ? $"Proved simulated: every line ends in process {process}. {SentenceText.Of($"It rests on this: {ResultWords.Of(Proof)}")}"
                : $"Proved simulated. {SentenceText.Of($"It rests on this: {ResultWords.Of(Proof)}")}",
            .. Remarks,
        ];
    }

    public void Dispose()
    {
        foreach (var line in _lines)
            line.Dispose();
    }

    /// <summary>Why the far ends are not those of one simulator of this program; null when they are, or the system cannot say.</summary>
    private string? FarObjection()
    {
        if (!OperatingSystem.IsLinux())
            return null;
        var far = _lines.Select(l => (l.Line.Name, Process: l.FarProcess)).ToArray();
        if (far.FirstOrDefault(f => f.Process is null) is { Name: { } hidden })
            return $"the system does not show this user which process has the other end of the line of {hidden}";
        if (far.FirstOrDefault(f => f.Process != far[0].Process) is { Name: { } other })
            return $"the line of {other} ends in another process than that of {far[0].Name}";
        _simulator = far[0].Process;
        return FarEnd.IsThisProgram(far[0].Process!.Value)
            ? null
            : $"the lines end in process {far[0].Process}, which is not this program";
    }

    private IEnumerable<(string Device, string End)> OwnEnds() =>
        _lines.Where(l => l.Line.Name != BenchServer.HandsName).Select(l => (l.Line.Name, l.End ?? ""));

    private ILine Connect(string name, LineText text, bool isHalfDuplex)
    {
        if (_secret is not null && !IsOnThisMachine(text))
            throw new IOException(
                $"{name}: {WireText.Words(text)} is not a simulator's on this machine. What is given as simulated has to be: in memory, or served here by `loadtest simulate`."
            );
        var line = OpenLine.Open(name, text, isHalfDuplex, _pump);
        _lines.Add(line);
        return line.Line;
    }

    private static bool IsOnThisMachine(LineText text) =>
        text switch
        {
            LineText.Tcp tcp => string.Equals(tcp.Host, "localhost", StringComparison.OrdinalIgnoreCase)
                || (IPAddress.TryParse(tcp.Host, out var address) && IPAddress.IsLoopback(address)),
            LineText.Serial serial => TerminalIdentity.Of(serial.Port) is not null,
            _ => false,
        };
}
