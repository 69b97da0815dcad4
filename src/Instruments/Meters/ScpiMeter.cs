using System.Collections.Immutable;
using System.Runtime.InteropServices;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Scpi;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Meters;

/// <summary>A meter that speaks SCPI, described by a definition file.</summary>
internal sealed class ScpiMeter : IMeter, IInspect
{
    private readonly InstrumentDefinition _definition;
    private readonly ScpiSession _session;
    private readonly ScpiIdentity _identity;
    private readonly TimeProvider _time;
    private readonly PreparedReads<ScpiQueries> _queries;

    public ScpiMeter(BenchInstrument instrument, ScpiSession session, TimeProvider time)
    {
        Name = instrument.Id;
        _definition = instrument.Definition;
        _session = session;
        _time = time;
        _identity = new ScpiIdentity(session, _definition.Identity, instrument.SerialNumber);
        _queries = new PreparedReads<ScpiQueries>(Prepare);
    }

    public string Name { get; }

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => _identity.IdentifyAsync(cancel);

    public async Task<CommandResult> ConfigureAsync(CancellationToken cancel)
    {
        var cleared = await _session.SendAsync("*CLS", cancel);
        if (cleared.Outcome != CommandOutcome.Ok)
            return cleared;
        foreach (var input in _definition.Inputs)
        {
            var result = await ConfigureAsync(Commands(input), cancel);
            if (result.Outcome != CommandOutcome.Ok)
                return result with { Detail = $"Input {input.Name}: {result.Detail}" };
        }
        return await ErrorQueue.ProveEmptyAsync(_session, cancel);
    }

    /// <remarks>Asks what the gate will ask after it has set the meter; nothing is set here.</remarks>
    public async Task<ImmutableArray<Inspected>> InspectAsync(CancellationToken cancel)
    {
        var all = ImmutableArray.CreateBuilder<Inspected>();
        foreach (var (query, expected) in _definition.Inputs.SelectMany(i => Commands(i).ReadBack))
        {
            var reply = await _session.QueryAsync(query, cancel);
            var state =
                reply.Result.Outcome != CommandOutcome.Ok ? InspectedState.Unread
                : IsSame(reply.Text, expected) ? InspectedState.AsExpected
                : InspectedState.SetAtTheGate;
            var detail =
                state == InspectedState.SetAtTheGate
                    ? $"{query} reads back \"{reply.Text}\"; the gate will set \"{expected}\"."
                    : reply.Result.Detail;
            all.Add(new Inspected(query, reply.Text, expected, state, detail));
        }
        return all.ToImmutable();
    }

    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        if (_session.Exchange.IsInDoubt && (await _identity.GetInStepAsync(cancel)).Outcome != CommandOutcome.Ok)
            return Indications.Missing(inputs.Length, _time.GetTimestamp());
        var queries = _queries.For(inputs);
        if (queries.IsBusy)
            queries = _queries.Another(inputs);
        queries.IsBusy = true;
        var indications = new Indication[inputs.Length];
        for (var k = 0; k < indications.Length; k++)
            indications[k] = await _session.ReadAsync(queries.Query(k), cancel);
        queries.IsBusy = false;
        return ImmutableCollectionsMarshal.AsImmutableArray(indications);
    }

    private async Task<CommandResult> ConfigureAsync(InputCommands commands, CancellationToken cancel)
    {
        foreach (var command in commands.Configure)
        {
            var sent = await _session.SendAsync(command, cancel);
            if (sent.Outcome != CommandOutcome.Ok)
                return sent;
        }
        foreach (var (query, expected) in commands.ReadBack)
        {
            var reply = await _session.QueryAsync(query, cancel);
            if (reply.Result.Outcome != CommandOutcome.Ok)
                return reply.Result;
            if (!IsSame(reply.Text, expected))
            {
                _session.Exchange.Distrust();
                return CommandResult.Failed(
                    $"{Name}: {query} reads back \"{reply.Text}\"; \"{expected}\" was set. Check that the definition belongs to this model, and that nobody works its front panel."
                );
            }
        }
        return CommandResult.Ok;
    }

    /// <summary>Numbers as numbers, one part in a million; texts without their quotes, letter by letter but for case.</summary>
    internal static bool IsSame(string reply, string expected)
    {
        var isNumber = NumericReply.Read(expected, out var wanted) == IndicationFlag.Good;
        if (isNumber && NumericReply.Read(reply, out var found) == IndicationFlag.Good)
            return Math.Abs(found - wanted) <= 1e-6 * Math.Abs(wanted);
        return string.Equals(reply.Trim().Trim('"'), expected.Trim().Trim('"'), StringComparison.OrdinalIgnoreCase);
    }

    private static InputCommands Commands(InputDefinition input) =>
        input.Commands ?? throw new ArgumentException($"Input {input.Name} names no commands.", nameof(input));

    private ScpiQueries Prepare(ImmutableArray<string> inputs) =>
        new([.. inputs.Select(name => Commands(_definition.Input(name)).Read)]);

    /// <summary>The queries of a caller's inputs, encoded once; an abandoned one is made anew.</summary>
    private sealed class ScpiQueries(ImmutableArray<string> messages)
    {
        private readonly ScpiTransaction[] _transactions = [.. messages.Select(m => new ScpiTransaction(m))];

        public bool IsBusy { get; set; }

        public ScpiTransaction Query(int k)
        {
            if (!_transactions[k].IsAtRest)
                _transactions[k] = new ScpiTransaction(messages[k]);
            return _transactions[k];
        }
    }
}
