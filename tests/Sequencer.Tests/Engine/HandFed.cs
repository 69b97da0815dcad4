using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>A run machine fed input by input; the laws that bind every transition are checked at every one.</summary>
internal sealed class HandFed(RunPlan plan)
{
    private readonly Dictionary<int, ElementSet> _intended = [];
    private readonly HashSet<int> _durable = [];
    private readonly HashSet<int> _outputs = [];
    private ElementSet? _toReadBack;
    private bool _isFinished;

    public RunPlan Plan => plan;

    public RunState State { get; private set; } = new();

    public TimeSpan Now { get; set; }

    public List<(RunInput Input, RunState State, ImmutableArray<RunCommand> Commands)> Turns { get; } = [];

    public IEnumerable<RunCommand> Commands => Turns.SelectMany(t => t.Commands);

    public IEnumerable<JournalEntry> Entries =>
        Commands
            .Select(c =>
                c switch
                {
                    Write w => w.Entry,
                    WriteSynced w => w.Entry,
                    Finish f => f.Closing,
                    _ => null,
                }
            )
            .OfType<JournalEntry>();

    public RunClosed? Closed => Entries.OfType<RunClosed>().SingleOrDefault();

    public ImmutableArray<RunCommand> Feed(RunInput input)
    {
        var before = State;
        var (state, commands) = RunMachine.Next(plan, State, input);
        State = state;
        Turns.Add((input, state, commands));
        Hear(input);
        CheckRemoval(input, before, commands);
        foreach (var command in commands)
            Check(command);
        return commands;
    }

    private void Hear(RunInput input)
    {
        if (input is EntrySynced synced)
            _durable.Add(synced.Command);
        if (input is StatesArrived { States: { Outcome: CommandOutcome.Ok } states } && states.Contacts == _toReadBack)
            _toReadBack = null;
    }

    /// <summary>All-off first; the first cause stays; whoever begins to remove sends it or has been told it was sent.</summary>
    private void CheckRemoval(RunInput input, RunState before, ImmutableArray<RunCommand> commands)
    {
        Assert.DoesNotContain(commands.Skip(1), c => c is RemoveLoadNow);
        if (before.Latched is not null)
            Assert.Same(before.Latched, State.Latched);
        if (before.Latched is null && State.Latched is not null && input is not LoadGone)
            Assert.Equal(State.Latched, Assert.IsType<RemoveLoadNow>(commands[0]).Cause);
    }

    private void Check(RunCommand command)
    {
        Assert.False(_isFinished, $"{command} comes after the run was finished.");
        switch (command)
        {
            case WriteSynced { Entry: SwitchIntended intent } write:
                Assert.Equal(intent.Command, write.Command);
                _intended.Add(intent.Command, intent.Elements);
                break;
            case SwitchElements to:
                Assert.Null(State.Latched);
                Assert.Null(_toReadBack);
                Assert.Equal(_intended[to.Command], to.Elements);
                Assert.Contains(to.Command, _durable);
                _toReadBack = to.Elements;
                break;
            case WriteSynced { Entry: OutputIntended { IsOn: true } intent }:
                _outputs.Add(intent.Command);
                break;
            case SwitchOutput { IsOn: true } to:
                Assert.Null(State.Latched);
                Assert.Contains(to.Command, _outputs);
                Assert.Contains(to.Command, _durable);
                break;
            case Finish:
                _isFinished = true;
                break;
        }
    }
}
