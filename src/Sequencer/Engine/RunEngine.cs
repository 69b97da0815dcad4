using System.Collections.Immutable;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>What a run needs of the world; all of it on one pump.</summary>
/// <param name="Plan">The plan.</param>
/// <param name="Pump">The pump everything here waits on.</param>
/// <param name="Opened">Pump timestamp at which the run was opened; entries count from it.</param>
/// <param name="Load">The bank.</param>
/// <param name="Meters">Every instrument that reads a channel, by its id on the bench.</param>
/// <param name="Journal">The journal, gate half 1 already in it.</param>
/// <param name="Operator">Who answers.</param>
/// <param name="Removal">The one way the load goes off at once.</param>
/// <param name="Questions">Questions already asked in this run; numbers go on from there.</param>
public sealed record RunSetting(
    RunPlan Plan,
    Pump Pump,
    long Opened,
    ILoad Load,
    IReadOnlyDictionary<string, IMeter> Meters,
    IJournal Journal,
    IOperator Operator,
    LoadRemoval Removal,
    int Questions
)
{
    /// <summary>Whether a person has to confirm being there from time to time: always on a real bench.</summary>
    public bool IsAttended { get; init; }

    /// <summary>The relay that lets the unit give output; null where the bench has none.</summary>
    public IOutputEnable? Output { get; init; }

    /// <summary>Looks at wall clock and sleep, and what they said when the run was opened; null where neither can change.</summary>
    public (Func<ClockLook> Look, ClockLook First)? Clocks { get; init; }
}

/// <summary>The thin loop around <see cref="RunMachine"/>: carries out commands, feeds back what happened.</summary>
/// <remarks>One thread, the pump's. Inputs that arrive while a turn is carried out wait their turn.</remarks>
public sealed class RunEngine
{
    private readonly RunSetting _setting;
    private readonly Queue<RunInput> _inputs = new();
    private readonly TaskCompletionSource<RunClosed> _closed = new();
    private readonly CancellationTokenSource _end = new();
    private readonly Scanner _scanner;
    private readonly ClockWatch? _clocks;
    private RunState _state;
    private CancellationTokenSource? _question;
    private bool _isTurning;
    private bool _isStorageLost;

    /// <summary>A loop for one run.</summary>
    public RunEngine(RunSetting setting)
    {
        ArgumentNullException.ThrowIfNull(setting);
        _setting = setting;
        _state = new RunState { Questions = setting.Questions };
        _clocks = setting.Clocks is { } clocks ? new ClockWatch(clocks.Look, clocks.First) : null;
        _scanner = new Scanner(setting.Plan.Bench, setting.Meters, setting.Pump, setting.Opened, Feed, Tick, Break);
    }

    /// <summary>What is remembered now; immutable, for whoever shows progress.</summary>
    public RunState State => _state;

    /// <summary>Told of every transition once its commands were carried out: input, state after it, commands; must not throw.</summary>
    /// <remarks>Feeding the inputs told here to <see cref="RunMachine"/> again gives the same states and commands.</remarks>
    public Action<RunInput, RunState, ImmutableArray<RunCommand>>? Turned { get; set; }

    /// <summary>Told of every entry once it is appended; must not throw and must not wait.</summary>
    public Action<JournalEntry>? Appended { get; set; }

    /// <summary>Runs to the end.</summary>
    /// <returns>The last entry of the journal, durable unless storage was lost.</returns>
    public async Task<RunClosed> RunAsync()
    {
        try
        {
            Watch(HearStorageAsync());
            _scanner.Begin();
            Feed(new RunBegan(Now) { IsAttended = _setting.IsAttended });
            return await _closed.Task;
        }
        finally
        {
            if (!_closed.Task.IsCompletedSuccessfully)
                _setting.Removal.RemoveLoad(new RemovalCause("ERROR", "The run's loop ended early."));
            _setting.Removal.Retire();
            _scanner.End();
            _end.Cancel();
        }
    }

    /// <summary>Asks the run to stop; on the pump.</summary>
    public void Stop(string who, string detail) => Feed(new StopAsked(Now, who, detail));

    /// <summary>Says that the load was removed from outside; on the pump.</summary>
    public void LoadRemoved(RemovalCause cause) => Feed(new LoadGone(Now, cause));

    private TimeSpan Now => TimeSpan.FromTicks(_setting.Pump.GetTimestamp() - _setting.Opened);

    private void Tick(TimeSpan now)
    {
        foreach (var input in _clocks?.Look(now) ?? [])
            Feed(input);
        Feed(new Ticked(now));
    }

    private void Feed(RunInput input)
    {
        _inputs.Enqueue(input);
        if (_isTurning)
            return;
        _isTurning = true;
        try
        {
            while (_inputs.TryDequeue(out var next))
            {
                TakeUpLatch(next);
                Turn(next);
            }
        }
        finally
        {
            _isTurning = false;
        }
    }

    /// <summary>All-off sent by another thread is the first cause, whatever else is heard before that thread's own word of it.</summary>
    private void TakeUpLatch(RunInput next)
    {
        if (_setting.Removal.Latched is { } cause && _state.Latched is null && next is not LoadGone)
            Turn(new LoadGone(Now, cause));
    }

    private void Turn(RunInput input)
    {
        if (_state.Latched is not null)
            input = input with { AllOff = _setting.Removal.AllOff };
        var (state, commands) = RunMachine.Next(_setting.Plan, _state, input);
        _state = state;
        Exception? first = null;
        foreach (var command in commands)
        {
            try
            {
                CarryOut(command);
            }
            catch (Exception trouble)
            {
                // One command that fails takes none of those behind it along: reading back and asking go on.
                first ??= trouble;
            }
        }
        Turned?.Invoke(input, state, commands);
        if (first is not null)
            Break(first);
    }

    private void CarryOut(RunCommand command)
    {
        switch (command)
        {
            case RemoveLoadNow removal:
                _setting.Removal.RemoveLoad(removal.Cause);
                _scanner.Sample(null, default);
                break;
            case Write write:
                Append(write.Entry);
                break;
            case WriteSynced write:
                Watch(WriteSyncedAsync(write));
                break;
            case SwitchElements to:
                Watch(SwitchAsync(to));
                break;
            case SwitchOutput to:
                Watch(SwitchOutputAsync(to));
                break;
            case ReadStates read:
                Watch(ReadStatesAsync(read.Number));
                break;
            case SetFan fan:
                Watch(SetFanAsync(fan.IsOn));
                break;
            case Ask ask:
                Watch(AskAsync(ask.Question));
                break;
            case WithdrawQuestion:
                _question?.Cancel();
                break;
            case SetScanning { IsOn: true }:
                _scanner.Start();
                break;
            case SetBankQuiet quiet:
                _scanner.Skip(quiet.IsQuiet ? _setting.Plan.Bench.Bank.InstrumentId : null);
                break;
            case SetScanning:
                _scanner.Stop();
                break;
            case SetSampling sampling:
                _scanner.Sample(sampling.Channel, sampling.Every);
                break;
            case Finish finish:
                Watch(FinishAsync(finish.Closing));
                break;
            default:
                throw new InvalidOperationException($"The run's loop knows no command {command.GetType().Name}.");
        }
    }

    private long Append(JournalEntry entry)
    {
        try
        {
            var number = _setting.Journal.Append(entry);
            Appended?.Invoke(entry);
            return number;
        }
        catch (IOException trouble)
        {
            LoseStorage(SentenceText.Of(trouble));
            return -1;
        }
    }

    /// <summary>Storage is heard of by itself: a reading that nobody waits for may be the one that is lost.</summary>
    private async Task HearStorageAsync()
    {
        var trouble = await _setting.Journal.Lost;
        if (_state.Phase != RunPhase.Closed)
            LoseStorage(trouble);
    }

    private void LoseStorage(string trouble)
    {
        if (_isStorageLost)
            return;
        _isStorageLost = true;
        Feed(new RunBroke(Now, "DISK", $"The journal could not be written: {trouble}"));
    }

    private async Task<bool> SyncAsync(long number)
    {
        if (_isStorageLost || number < 0)
            return false;
        try
        {
            await _setting.Journal.SyncAsync(number);
            return true;
        }
        catch (IOException trouble)
        {
            LoseStorage(SentenceText.Of(trouble));
            return false;
        }
    }

    private async Task WriteSyncedAsync(WriteSynced write)
    {
        if (await SyncAsync(Append(write.Entry)))
            Feed(new EntrySynced(Now, write.Command));
    }

    private async Task SwitchAsync(SwitchElements to)
    {
        var result = await Guarded(() => _setting.Load.SwitchAsync(to.Elements, _setting.Removal.Permit(), _end.Token));
        Feed(new SwitchFinished(Now, to.Command, result));
    }

    private async Task SwitchOutputAsync(SwitchOutput to)
    {
        var relay =
            _setting.Output
            ?? throw new InvalidOperationException("The bench has an output-enable relay, and the run was given none.");
        var result = await Guarded(() => relay.SwitchAsync(to.IsOn, _setting.Removal.Permit(), _end.Token));
        // Whatever the command came to, what counts is what the contact says.
        var state =
            result.Outcome == CommandOutcome.Failed && to.IsOn
                ? new RelayState(result, false, 0)
                : await relay.ReadAsync(_end.Token);
        Feed(new OutputFinished(Now, to.Command, state.Result, state.IsClosed));
    }

    private async Task SetFanAsync(bool isOn)
    {
        var result = await Guarded(() => _setting.Load.SetFanAsync(isOn, _end.Token));
        if (result.Outcome != CommandOutcome.Ok && _state.Phase != RunPhase.Closed)
            Append(new Remarked(Now, $"Fan {(isOn ? "on" : "off")}: {result.Detail}"));
    }

    private async Task ReadStatesAsync(int number)
    {
        var states = await _setting.Load.ReadStatesAsync(_end.Token);
        Feed(new StatesArrived(Now, number, states));
    }

    private async Task AskAsync(Question question)
    {
        _question?.Dispose();
        var open = _question = CancellationTokenSource.CreateLinkedTokenSource(_end.Token);
        try
        {
            var answer = await _setting.Operator.AskAsync(question, open.Token);
            Feed(new OperatorAnswered(Now, question.Number, answer));
        }
        catch (OperationCanceledException) when (open.IsCancellationRequested)
        {
            if (_state.Phase != RunPhase.Closed)
                Append(new Remarked(Now, $"Question {question.Number} was withdrawn."));
        }
        catch (Exception trouble)
        {
            Feed(new OperatorLost(Now, question.Number, SentenceText.Of(trouble)));
        }
    }

    private async Task FinishAsync(RunClosed closing)
    {
        var exposure = _setting.Journal.Exposure;
        if (exposure > JournalPromise.Exposure)
            Append(
                new Remarked(
                    closing.At,
                    $"The disk was slow: an entry waited {exposure.TotalMilliseconds:0} ms until it was durable; {JournalPromise.Exposure.TotalMilliseconds:0} ms are promised."
                )
            );
        var isDurable = await SyncAsync(Append(closing));
        _closed.TrySetResult(isDurable || closing.Code == "DISK" ? closing : NotDurable(closing));
    }

    private static RunClosed NotDurable(RunClosed closing)
    {
        var first =
            closing.Code.Length > 0
                ? $"{closing.Outcome}, {closing.Code}: {closing.Detail}"
                : closing.Outcome.ToString();
        return closing with
        {
            Outcome = Outcome.Interrupted,
            Code = "DISK",
            Detail = $"The journal could not be made durable to its end. The run itself ended: {first}",
        };
    }

    private static async Task<CommandResult> Guarded(Func<Task<CommandResult>> command)
    {
        try
        {
            return await command();
        }
        catch (OperationCanceledException)
        {
            return CommandResult.Unknown("Given up because the run ended.");
        }
    }

    /// <summary>A command that runs on its own; an error in it ends the run, never goes unseen.</summary>
    private async void Watch(Task command)
    {
        try
        {
            await command;
        }
        catch (Exception trouble)
        {
            Break(trouble);
        }
    }

    private void Break(Exception trouble)
    {
        try
        {
            Feed(
                new RunBroke(Now, "ERROR", $"The run's loop met {trouble.GetType().Name}: {SentenceText.Of(trouble)}")
            );
        }
        catch (Exception worse)
        {
            // The machine itself cannot go on: the load goes off by the one way that needs no machine, and the run ends here.
            _setting.Removal.RemoveLoad(new RemovalCause("ERROR", SentenceText.Clause(worse)));
            _closed.TrySetException(worse);
        }
    }
}
