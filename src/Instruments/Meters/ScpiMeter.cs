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
    private bool _isProved;
    private bool _mayHaveRestarted;

    public ScpiMeter(BenchInstrument instrument, ScpiSession session, TimeProvider time)
    {
        Name = instrument.Id;
        _definition = instrument.Definition;
        _session = session;
        _time = time;
        _identity = new ScpiIdentity(session, _definition.Identity, instrument.SerialNumber);
        _queries = new PreparedReads<ScpiQueries>(Prepare);
        _isProved = _definition.Inputs.All(i => i.Commands is { Configure.IsEmpty: true, ReadBack.IsEmpty: true });
    }

    public string Name { get; }

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => _identity.IdentifyAsync(cancel);

    /// <summary>Sets every input, reads the settings back, and proves that nothing went wrong meanwhile.</summary>
    public async Task<CommandResult> ConfigureAsync(CancellationToken cancel)
    {
        _isProved = false;
        var result = await _session.SendAsync("*CLS", cancel);
        foreach (var input in _definition.Inputs)
        {
            if (result.Outcome == CommandOutcome.Ok)
                result = await ConfigureAsync(input, cancel);
        }
        if (result.Outcome == CommandOutcome.Ok)
            result = await ErrorQueue.ProveEmptyAsync(_session, cancel);
        if (result.Outcome == CommandOutcome.Ok)
            result = await ProveNoErrorEventAsync(cancel);
        _isProved = result.Outcome == CommandOutcome.Ok;
        _mayHaveRestarted &= !_isProved;
        return result;
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

    /// <summary>Reads inputs whose settings were read back; after a doubtful exchange they are read back again first.</summary>
    /// <remarks>An instrument that lost its supply for a moment answers in its usual range, and nothing in a number shows that.</remarks>
    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        return await IsFitAsync(cancel)
            ? await AskAsync(inputs, cancel)
            : Indications.Missing(inputs.Length, _time.GetTimestamp());
    }

    /// <summary>Reads inputs however the meter is set just now; for looking at it, never for a run.</summary>
    public async Task<ImmutableArray<Indication>> ReadAsFoundAsync(
        ImmutableArray<string> inputs,
        CancellationToken cancel
    ) =>
        _session.Exchange.IsInDoubt && (await _identity.GetInStepAsync(cancel)).Outcome != CommandOutcome.Ok
            ? Indications.Missing(inputs.Length, _time.GetTimestamp())
            : await AskAsync(inputs, cancel);

    private async Task<ImmutableArray<Indication>> AskAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
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

    private async Task<bool> IsFitAsync(CancellationToken cancel)
    {
        if (_session.Exchange.IsInDoubt)
        {
            _mayHaveRestarted = true;
            if ((await _identity.GetInStepAsync(cancel)).Outcome != CommandOutcome.Ok)
                return false;
        }
        if (_isProved && _mayHaveRestarted)
        {
            var result = await ReadBackAsync(cancel);
            _isProved = result.Outcome != CommandOutcome.Failed;
            _mayHaveRestarted = result.Outcome == CommandOutcome.Unknown;
            if (result.Outcome == CommandOutcome.Failed)
                _session.Exchange.Counters.Note(result.Detail);
        }
        else if (!_isProved)
            _session.Exchange.Counters.Note(
                $"{Name}: not read, because its settings were not read back; configure it first."
            );
        return _isProved && !_mayHaveRestarted;
    }

    private async Task<CommandResult> ConfigureAsync(InputDefinition input, CancellationToken cancel)
    {
        var result = CommandResult.Ok;
        foreach (var command in Commands(input).Configure)
        {
            if (result.Outcome == CommandOutcome.Ok)
                result = await _session.SendAsync(command, cancel);
        }
        return result.Outcome == CommandOutcome.Ok
            ? await ReadBackAsync(input, cancel)
            : result with
            {
                Detail = $"Input {input.Name}: {result.Detail}",
            };
    }

    private async Task<CommandResult> ReadBackAsync(CancellationToken cancel)
    {
        foreach (var input in _definition.Inputs)
        {
            var result = await ReadBackAsync(input, cancel);
            if (result.Outcome != CommandOutcome.Ok)
                return result;
        }
        return CommandResult.Ok;
    }

    private async Task<CommandResult> ReadBackAsync(InputDefinition input, CancellationToken cancel)
    {
        foreach (var (query, expected) in Commands(input).ReadBack)
        {
            var reply = await _session.QueryAsync(query, cancel);
            if (reply.Result.Outcome != CommandOutcome.Ok)
                return reply.Result with { Detail = $"Input {input.Name}: {reply.Result.Detail}" };
            if (!IsSame(reply.Text, expected))
            {
                _session.Exchange.Distrust();
                return CommandResult.Failed(
                    $"Input {input.Name}: {Name}: {query} reads back \"{reply.Text}\"; \"{expected}\" was set. Check that the definition belongs to this model, and that nobody works its front panel."
                );
            }
        }
        return CommandResult.Ok;
    }

    private async Task<CommandResult> ProveNoErrorEventAsync(CancellationToken cancel)
    {
        var (result, events) = await _session.EventsAsync(cancel);
        if (result.Outcome != CommandOutcome.Ok)
            return result;
        var bad = events & (StatusBits.ErrorEvents | StatusBits.PowerOn);
        return bad == 0
            ? CommandResult.Ok
            : CommandResult.Failed(
                $"{Name}: while it was set its event register said {StatusBits.EventWords(bad)}. Check that the definition belongs to this model, and its supply."
            );
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
