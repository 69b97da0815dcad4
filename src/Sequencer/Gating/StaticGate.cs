using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Gating;

/// <summary>What the first half of the gate works with.</summary>
/// <param name="Plan">The plan.</param>
/// <param name="Load">The bank.</param>
/// <param name="Meters">Every instrument of the bench, the bank's controller among them.</param>
/// <param name="Journal">Where acknowledgements and checks go.</param>
/// <param name="Operator">Who acknowledges.</param>
/// <param name="Time">The pump.</param>
/// <param name="RunOpened">Pump timestamp of the run's opening; entries count from it.</param>
/// <param name="IsProvedSimulated">Whether the host proved the bench simulated; only then may a script acknowledge.</param>
/// <param name="Today">Date of the run.</param>
/// <param name="FreeBytes">Free space where the journal goes.</param>
/// <param name="PortsBusy">Lines another program holds, in words.</param>
public sealed record StaticGateSetting(
    RunPlan Plan,
    ILoad Load,
    ImmutableArray<IMeter> Meters,
    IJournal Journal,
    IOperator Operator,
    TimeProvider Time,
    long RunOpened,
    bool IsProvedSimulated,
    DateOnly Today,
    long FreeBytes,
    ImmutableArray<string> PortsBusy
)
{
    /// <summary>The relay that lets the unit give output; null where the bench has none.</summary>
    public IOutputEnable? Output { get; init; }

    /// <summary>What an earlier run left to be put right, to be cleared by a person's name behind the usual inspections.</summary>
    public ImmutableArray<Caution> Clearances { get; init; } = [];
}

/// <summary>How the first half of the gate ended.</summary>
/// <param name="Facts">Everything checked, in order.</param>
/// <param name="Questions">How many questions were asked; the run numbers on from here.</param>
public sealed record StaticGateResult(ImmutableArray<GateFact> Facts, int Questions)
{
    /// <summary>Whether the gate is passed.</summary>
    public bool IsPassed => Facts.All(f => f.IsPassed);

    /// <summary>The first refusal; null when passed.</summary>
    public GateFact? Refusal => Facts.FirstOrDefault(f => !f.IsPassed);
}

/// <summary>The first half of the caution gate on a bench: asks the person, then the instruments, and writes what was said.</summary>
public sealed class StaticGate
{
    private const int OffTries = 10;
    private const int FanTries = 50;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly StaticGateSetting _setting;
    private readonly List<GateFact> _facts = [];
    private int _questions;

    private StaticGate(StaticGateSetting setting) => _setting = setting;

    /// <summary>Runs it: cautions one by one, inspections, then every static check; passed is durable before it returns.</summary>
    /// <param name="setting">What it works with.</param>
    /// <param name="cancel">Gives up; nothing is energised at any time.</param>
    /// <exception cref="IOException">The journal is in trouble.</exception>
    public static Task<StaticGateResult> RunAsync(StaticGateSetting setting, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(setting);
        return new StaticGate(setting).RunAsync(cancel);
    }

    private TimeSpan Now => _setting.Time.GetElapsedTime(_setting.RunOpened);

    private async Task<StaticGateResult> RunAsync(CancellationToken cancel)
    {
        // What needs no person is looked at first: nobody acknowledges twenty cautions for a plan that cannot run.
        if (!Note(Operator()) || !Note(Gate.CheckPlan(_setting.Plan)))
            return Result();
        if (!await AcknowledgeAsync(cancel) || !await InspectAsync(cancel))
            return Result();
        var snapshot = await LookAsync(cancel);
        foreach (var fact in Gate.CheckStatic(_setting.Plan, snapshot, _setting.Today))
        {
            if (!_facts.Contains(fact))
                Note(fact);
        }
        if (Result() is { IsPassed: true } passed)
        {
            var number = _setting.Journal.Append(new GatePassed(Now, 1, Gate.ValidFor));
            await _setting.Journal.SyncAsync(number);
            return passed;
        }
        return Result();
    }

    private GateFact Operator() =>
        _setting.Operator.IsPerson || _setting.IsProvedSimulated
            ? GateFact.Passed(
                "operator",
                _setting.Operator.IsPerson ? "a person" : "a script, on a bench proved simulated"
            )
            : GateFact.Refused(
                "operator",
                "OPERATOR",
                "A script answers and the bench is not proved simulated. A person acknowledges the cautions of a real bench."
            );

    private async Task<bool> AcknowledgeAsync(CancellationToken cancel)
    {
        foreach (var caution in Gate.Cautions)
        {
            var answer = await AskAsync(QuestionKind.Acknowledge, $"{caution.Name}: {caution.Text}", cancel);
            if (!answer.Yes)
            {
                return Note(
                    GateFact.Refused(
                        $"caution \"{caution.Name}\"",
                        "CAUTION",
                        $"{answer.Who} did not acknowledge it. Every caution is acknowledged before anything is energised."
                    )
                );
            }
            _setting.Journal.Append(new CautionAcknowledged(Now, caution.Name, caution.Text, answer.Who));
        }
        return true;
    }

    private async Task<bool> InspectAsync(CancellationToken cancel)
    {
        foreach (var inspection in Gate.Inspections(_setting.Plan).AddRange(_setting.Clearances))
        {
            var answer = await AskAsync(QuestionKind.Inspect, $"{inspection.Name}: {inspection.Text}", cancel);
            var said = answer.Remark.Length > 0 ? $"{answer.Who}: {answer.Remark}" : answer.Who;
            var fact = answer.Yes
                ? GateFact.Passed(inspection.Name, $"in order, {said}")
                : GateFact.Refused(
                    inspection.Name,
                    "CAUTION",
                    $"Not in order, {said}. Put it right with the engine locked out, then begin again."
                );
            if (!Note(fact))
                return false;
        }
        return true;
    }

    private Task<Answer> AskAsync(QuestionKind kind, string text, CancellationToken cancel) =>
        _setting.Operator.AskAsync(
            new Question(++_questions, kind, HandAction.None, text, null, null, Unit.One),
            cancel
        );

    private async Task<BenchSnapshot> LookAsync(CancellationToken cancel)
    {
        var instruments = ImmutableArray.CreateBuilder<InstrumentSnapshot>();
        foreach (var meter in _setting.Meters)
        {
            var identity = await meter.IdentifyAsync(cancel);
            // Half a line that was left at an instrument spoils the first question, and a question may be asked again.
            if (identity.Result.Outcome == CommandOutcome.Unknown)
                identity = await meter.IdentifyAsync(cancel);
            CommandResult? configured =
                identity.Result.Outcome == CommandOutcome.Ok ? await meter.ConfigureAsync(cancel) : null;
            instruments.Add(new InstrumentSnapshot(meter.Name, identity, configured));
        }
        _setting.Load.RemoveLoad();
        var off = await StatesUntilAsync(s => s.Commanded.IsEmpty && s.Contacts.IsEmpty, OffTries, cancel);
        var output = await OpenOutputAsync(cancel);
        var fanOn = await _setting.Load.SetFanAsync(isOn: true, cancel);
        var withFan = await StatesUntilAsync(s => s.HasAirFlow != false, FanTries, cancel);
        return new BenchSnapshot(
            instruments.ToImmutable(),
            off,
            fanOn,
            withFan,
            await ChannelsAsync(instruments, cancel),
            _setting.FreeBytes,
            _setting.PortsBusy
        )
        {
            Output = output,
        };
    }

    /// <summary>Opens the relay and reads its contact until it is open, at most so many times as the bank's.</summary>
    private async Task<RelayState?> OpenOutputAsync(CancellationToken cancel)
    {
        if (_setting.Output is not { } relay)
            return null;
        relay.Open();
        for (var k = 1; ; k++)
        {
            var state = await relay.ReadAsync(cancel);
            if (k == OffTries || state is { Result.Outcome: CommandOutcome.Ok, IsClosed: false })
                return state;
            await Task.Delay(Pause, _setting.Time, cancel);
        }
    }

    /// <summary>Reads the states until they are as wanted, at most so many times; the last ones read.</summary>
    private async Task<LoadStates> StatesUntilAsync(Predicate<LoadStates> wanted, int tries, CancellationToken cancel)
    {
        for (var k = 1; ; k++)
        {
            var states = await _setting.Load.ReadStatesAsync(cancel);
            if (k == tries || (states.Outcome == CommandOutcome.Ok && wanted(states)))
                return states;
            await Task.Delay(Pause, _setting.Time, cancel);
        }
    }

    private async Task<ImmutableArray<ChannelSnapshot>> ChannelsAsync(
        IReadOnlyList<InstrumentSnapshot> instruments,
        CancellationToken cancel
    )
    {
        var found = ImmutableArray.CreateBuilder<ChannelSnapshot>();
        foreach (var meter in _setting.Meters)
        {
            var isRight = instruments.Any(i =>
                i.InstrumentId == meter.Name && i.Configured is { Outcome: CommandOutcome.Ok }
            );
            var own = _setting.Plan.Bench.Channels.Index().Where(c => c.Item.InstrumentId == meter.Name).ToArray();
            if (!isRight || own.Length == 0)
                continue;
            var read = await meter.ReadAsync([.. own.Select(c => c.Item.Input)], cancel);
            found.AddRange(own.Zip(read, (channel, indication) => new ChannelSnapshot(channel.Index, indication)));
        }
        return found.ToImmutable();
    }

    /// <summary>Writes a fact down; true when it is passed.</summary>
    private bool Note(GateFact fact)
    {
        _facts.Add(fact);
        var found = fact.IsPassed ? fact.Found : $"{fact.Code}: {fact.Found}";
        _setting.Journal.Append(new GateChecked(Now, fact.Check, fact.IsPassed, found));
        return fact.IsPassed;
    }

    private StaticGateResult Result() => new([.. _facts], _questions);
}
