using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class RunEngineTests
{
    internal static PortWorld Short() => new(SomePlan.Short);

    [Fact]
    public void Whole_run_ends_complete_and_durable_with_the_bank_off()
    {
        var world = Short();

        var closed = world.Run();
        Assert.Equal((Outcome.Complete, BankEnd.Off), (closed.Outcome, closed.Bank));
        Assert.IsType<RunClosed>(world.Entries[^1]);
        Assert.Equal(world.Entries.Count - 1, world.Acknowledged);
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Fact]
    public void Whoever_listens_hears_every_entry_once_it_is_appended()
    {
        var world = Short();
        var heard = new List<JournalEntry>();
        world.Run(w =>
        {
            heard.AddRange(w.Entries);
            w.Engine!.Appended = entry =>
            {
                Assert.Same(entry, w.Entries[^1]);
                heard.Add(entry);
            };
            return Task.CompletedTask;
        });
        Assert.Equal(world.Entries, heard);
    }

    [Fact]
    public void Replaying_the_inputs_of_a_run_reproduces_its_states_and_commands()
    {
        var world = Short();
        world.Run(async w =>
        {
            await w.UnderLoad();
            w.Engine!.Stop("A. Invented", "smoke");
        });

        var state = new RunState();
        foreach (var (input, after, commands) in world.Turns)
        {
            var (next, repeated) = RunMachine.Next(world.Unit.Plan, state, input);
            Assert.Equal(Letter.Of(commands), Letter.Of(repeated));
            state = next;
            Assert.Equal((after.Phase, after.Step, after.Latched), (state.Phase, state.Step, state.Latched));
        }
        Assert.Equal(Letter.Of(world.Engine!.State), Letter.Of(state));
    }

    [Fact]
    public void All_off_is_sent_before_the_entries_that_tell_of_it()
    {
        var world = Short();
        var from = 0;
        world.Run(async w =>
        {
            await w.UnderLoad();
            from = w.Log.Count;
            w.Engine!.Stop("A. Invented", "smoke");
        });

        Assert.Equal("all-off", world.Log[from]);
        Assert.True(world.Log.IndexOf("all-off", from) < world.Log.FindIndex(from, l => l == "append LoadRemoved"));
    }

    [Fact]
    public void All_off_from_outside_is_the_first_cause_though_a_refused_command_is_heard_first()
    {
        var world = Short();
        // The signal comes while a command to switch on is under way; its permit is dead when it would leave.
        world.OnSwitch = elements =>
        {
            if (!elements.IsEmpty && world.Removal.Latched is null)
                world.Removal.RemoveLoad(new RemovalCause("SIGNAL", "The program was told to end."));
        };

        var closed = world.Run();
        Assert.Equal((Outcome.Stopped, "SIGNAL"), (closed.Outcome, closed.Code));
        Assert.DoesNotContain(world.Log, l => l.StartsWith("switch", StringComparison.Ordinal));
        Assert.Equal("SIGNAL", world.Entries.OfType<LoadRemoved>().Single().Cause.Code);
    }

    [Fact]
    public void Journal_that_cannot_be_written_ends_the_run_with_the_load_removed()
    {
        for (var k = 0; k < 400; k += 7)
        {
            var world = Short();
            var appended = 0;
            world.OnAppend = _ =>
            {
                if (appended++ >= k)
                    throw new IOException("No space is left.");
            };
            var closed = world.Run();
            if (appended <= k)
                continue;
            Assert.Equal(Outcome.Interrupted, closed.Outcome);
            Assert.Equal("DISK", closed.Code);
            Assert.True(world.Unit.Contacts.IsEmpty);
            Assert.Equal(k, world.Entries.Count);
        }
    }

    [Fact]
    public void Sync_that_fails_ends_the_run_and_what_it_would_have_allowed_is_not_sent()
    {
        var world = Short();
        var syncs = 0;
        world.OnSync = _ => syncs++ == 2 ? throw new IOException("The disk does not answer.") : Task.CompletedTask;

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "DISK"), (closed.Outcome, closed.Code));
        var intents = world.Entries.OfType<SwitchIntended>().Count();
        Assert.Equal(intents - 1, world.Log.Count(l => l.StartsWith("switch", StringComparison.Ordinal)));
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Fact]
    public void Run_whose_last_entry_is_not_durable_is_not_called_complete()
    {
        var world = Short();
        world.OnSync = number =>
            world.Entries[(int)number] is RunClosed ? throw new IOException("No space is left.") : Task.CompletedTask;

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "DISK", BankEnd.Off), (closed.Outcome, closed.Code, closed.Bank));
        Assert.EndsWith("The run itself ended: Complete", closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_is_appended_after_the_last_entry()
    {
        var world = Short();
        world.OnAsk = (q, cancel) =>
            q.Kind == QuestionKind.Acknowledge
                ? Task.Delay(TimeSpan.FromMinutes(1), world.Pump, cancel)
                : Task.CompletedTask;
        world.Run(async w =>
        {
            await w.UnderLoad();
            w.Unit.Welded = w.Unit.Contacts;
            w.Engine!.Stop("A. Invented", "smoke");
            await w.WaitUntil(() => w.Engine!.State.OpenQuestion is not null);
            await Task.Delay(TimeSpan.FromSeconds(3), w.Pump);
            w.Engine!.Stop("B. Invented", "more smoke");
        });

        Assert.IsType<RunClosed>(world.Entries[^1]);
        Assert.Single(world.Entries.OfType<RunClosed>());
    }

    [Fact]
    public void Permit_of_a_run_that_is_over_is_worthless()
    {
        var world = Short();

        world.Run();
        Assert.False(world.Removal.Permit().IsValid);
        Assert.DoesNotContain(world.Log, l => l == "all-off");
    }

    [Fact]
    public void Meter_that_throws_ends_the_run_and_the_others_go_on_to_confirm_that_the_load_is_off()
    {
        var world = Short();
        world.OnRead = id =>
        {
            if (id == "dmm-1" && world.Engine!.State.Elements.Count > 1)
                throw new InvalidOperationException("a bug in an adapter");
        };

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "ERROR", BankEnd.Off), (closed.Outcome, closed.Code, closed.Bank));
        Assert.Contains("a bug in an adapter", closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Bank_that_throws_when_asked_for_its_states_leaves_the_load_off_and_not_confirmed()
    {
        var world = Short();
        world.OnReadStates = () =>
        {
            if (world.Engine!.State.Elements.Count > 1)
                throw new InvalidOperationException("a bug in an adapter");
        };

        var closed = world.Run();
        Assert.Equal(BankEnd.OffNotConfirmed, closed.Bank);
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Fact]
    public void Operator_that_throws_ends_the_run_with_the_load_off_and_nobody_waited_for()
    {
        var world = Short();
        world.OnAsk = (q, _) =>
            world.Engine!.State.Elements.Count > 1 || world.Removal.Latched is not null
                ? throw new IOException("the terminal is gone")
                : Task.CompletedTask;

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "OPERATOR", BankEnd.Off), (closed.Outcome, closed.Code, closed.Bank));
    }

    [Fact]
    public void Operator_that_gives_up_by_itself_is_gone_and_not_waited_for()
    {
        var world = Short();
        world.OnAsk = (q, _) =>
            q.Action == HandAction.EnableOutput ? throw new OperationCanceledException() : Task.CompletedTask;

        Assert.Equal("OPERATOR", world.Run().Code);
    }

    [Fact]
    public void Error_of_the_machine_itself_removes_the_load_and_ends_the_run_with_the_error()
    {
        // A plan that leads from elements that are not on.
        var steps = SomePlan.Short.Steps;
        var loaded = steps
            .OfType<LoadTest.Sequencer.Planning.PointStep>()
            .Where(p => !p.State.Elements.IsEmpty)
            .ToArray();
        var wrong = loaded[0] with
        {
            State = loaded[0].State with { Switching = [loaded[0].State.Elements.Union(new(0xC0))] },
        };
        var world = new PortWorld(SomePlan.Short with { Steps = steps.Replace(loaded[0], wrong) });

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "ERROR"), (closed.Outcome, closed.Code));
        Assert.Contains("plan and run disagree", closed.Detail, StringComparison.Ordinal);
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Fact]
    public void Same_run_twice_is_the_same_to_the_letter()
    {
        var (one, two) = (Short(), Short());
        one.Run();
        two.Run();

        Assert.Equal(Letter.Of(one.Entries), Letter.Of(two.Entries));
        Assert.Equal(one.Log, two.Log);
    }

    [Fact]
    public void Command_that_fails_takes_none_of_those_behind_it_along_and_ends_the_run()
    {
        var world = Short();
        world.OnAppend = e =>
        {
            if (e is StepStarted { Step: 3 })
                throw new InvalidOperationException("an entry nobody can write");
        };

        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "ERROR"), (closed.Outcome, closed.Code));
        Assert.Contains("an entry nobody can write", closed.Detail, StringComparison.Ordinal);
        Assert.NotEqual(BankEnd.OffNotConfirmed, closed.Bank);
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Fact]
    public void Bench_with_a_relay_is_not_run_without_it()
    {
        var world = new PortWorld(SomePlan.WithRelay);
        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "ERROR"), (closed.Outcome, closed.Code));
        Assert.Contains("output-enable relay", closed.Detail, StringComparison.Ordinal);
        Assert.DoesNotContain(world.Entries, e => e is GatePassed { Half: 2 });
    }

    [Theory]
    [InlineData(CommandOutcome.Failed, "LINK")]
    [InlineData(CommandOutcome.Unknown, "MISMATCH")]
    public void Relay_that_refuses_is_not_read_and_one_that_may_have_obeyed_is(CommandOutcome outcome, string code)
    {
        var relay = new Relay(new CommandResult(outcome, "no reply"));
        var world = new PortWorld(SomePlan.WithRelay) { Output = relay };
        var closed = world.Run();
        Assert.Equal((Outcome.Tripped, code), (closed.Outcome, closed.Code));
        Assert.Equal(outcome == CommandOutcome.Unknown, relay.WasReadBeforeTheEnd);
        Assert.False(relay.IsClosed);
    }

    private sealed class Relay(CommandResult result) : IOutputEnable
    {
        public bool IsClosed { get; private set; }
        public bool WasReadBeforeTheEnd { get; private set; }
        private bool _isOver;

        public string Name => "relays-1 output enable";

        public Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel)
        {
            _isOver |= !isOn;
            return Task.FromResult(isOn ? result : CommandResult.Ok);
        }

        public Task<RelayState> ReadAsync(CancellationToken cancel)
        {
            WasReadBeforeTheEnd |= !_isOver;
            return Task.FromResult(new RelayState(CommandResult.Ok, IsClosed, 0));
        }

        public void Open() => IsClosed = false;
    }
}
