using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using static LoadTest.SequencerTests.Engine.RunEngineTests;

namespace LoadTest.SequencerTests.Engine;

/// <summary>What the loop does at its edges: listeners, storage and persons that fail it, clocks that began before it.</summary>
public sealed class RunEngineEdgeTests
{
    [Fact]
    public void Times_count_from_the_opening_of_the_run_and_questions_from_those_before_it()
    {
        var world = new PortWorld(SomePlan.Short) { Before = TimeSpan.FromHours(5), Questions = 12 };
        world.Run();
        Assert.True(world.Entries[0].At < TimeSpan.FromSeconds(1));
        Assert.Equal(13, world.Entries.OfType<Asked>().First().Question.Number);
        Assert.All(
            world.Entries.OfType<Scanned>().SelectMany(s => s.Readings),
            r => Assert.True(r.At < TimeSpan.FromHours(1))
        );
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Presence_is_asked_for_in_an_attended_run_alone(bool isAttended)
    {
        var plan = SomePlan.Short with
        {
            Profile = SomePlan.Short.Profile with { PresenceEvery = TimeSpan.FromMinutes(1) },
        };
        var world = new PortWorld(plan) { IsAttended = isAttended };
        world.Run(async w =>
        {
            await w.UnderLoad();
            // Whoever is asked next takes long.
            w.OnAsk = (q, cancel) =>
                q.Text.StartsWith("Are you at the bench", StringComparison.Ordinal)
                    ? Task.CompletedTask
                    : Task.Delay(TimeSpan.FromMinutes(3), w.Pump, cancel);
        });
        Assert.Equal(
            isAttended,
            world.Entries.OfType<Remarked>().Any(r => r.Text.StartsWith("NOBODY ANSWERS", StringComparison.Ordinal))
        );
    }

    [Fact]
    public void Storage_that_is_lost_is_heard_of_though_nobody_waits_for_an_entry()
    {
        var world = Short();
        var closed = world.Run(async w =>
        {
            await w.UnderLoad();
            w.Losing.SetResult("the disk is gone");
            await Task.Delay(TimeSpan.FromMilliseconds(1), w.Pump);
            Assert.Equal("all-off", w.Log.Last(l => !l.StartsWith("append", StringComparison.Ordinal)));
        });
        Assert.Equal((Outcome.Interrupted, "DISK"), (closed.Outcome, closed.Code));
        Assert.Contains("The journal could not be written: the disk is gone", closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Storage_that_is_lost_after_the_end_changes_nothing()
    {
        var world = Short();
        var closed = world.Run(w =>
        {
            w.Engine!.Turned += (_, state, _) =>
            {
                if (state.Phase == RunPhase.Closed)
                    w.Losing.TrySetResult("the disk is gone");
            };
            return Task.CompletedTask;
        });
        Assert.Equal(Outcome.Complete, closed.Outcome);
    }

    [Fact]
    public void Listener_that_throws_costs_the_run_and_not_the_bench()
    {
        var world = Short();
        var error = Assert.Throws<InvalidOperationException>(() =>
            world.Run(async w =>
            {
                await w.UnderLoad();
                w.Engine!.Turned = (_, _, _) => throw new InvalidOperationException("nobody may throw here");
            })
        );
        Assert.Equal("nobody may throw here", error.Message);
        Assert.Equal(
            new RemovalCause("ERROR", "The run's loop met InvalidOperationException: nobody may throw here."),
            world.Removal.Latched
        );
        Assert.Contains("all-off", world.Log, StringComparer.Ordinal);
        Assert.True(world.Unit.Contacts.IsEmpty);
    }

    [Theory]
    [InlineData(true, "Fan on: it does not turn")]
    [InlineData(false, "Fan off: it does not turn")]
    public void Fan_that_does_not_obey_is_remarked_and_the_run_goes_on(bool isOn, string words)
    {
        var world = Short();
        world.OnFan = on => on == isOn ? CommandResult.Failed("it does not turn") : CommandResult.Ok;
        var closed = world.Run();
        Assert.Equal(Outcome.Complete, closed.Outcome);
        Assert.Contains(world.Entries.OfType<Remarked>(), r => r.Text == words);
        Assert.IsType<RunClosed>(world.Entries[^1]);
    }

    [Theory]
    [InlineData(250, false)]
    [InlineData(251, true)]
    public void Disk_slower_than_what_is_promised_is_remarked_before_the_last_entry(int milliseconds, bool isRemarked)
    {
        var world = Short();
        world.Exposure = TimeSpan.FromMilliseconds(milliseconds);
        world.Run();
        Assert.Equal(
            isRemarked,
            world.Entries[^2]
                is Remarked
                {
                    Text: "The disk was slow: an entry waited 251 ms until it was durable; 250 ms are promised.",
                }
        );
    }

    [Fact]
    public void Run_that_ended_for_a_cause_and_cannot_be_made_durable_names_both()
    {
        var world = Short();
        world.OnSync = number =>
            world.Entries[(int)number] is RunClosed ? throw new IOException("No space is left.") : Task.CompletedTask;
        var closed = world.Run(async w =>
        {
            await w.UnderLoad();
            w.Engine!.Stop("A. Invented", "smoke");
        });
        Assert.Equal((Outcome.Interrupted, "DISK"), (closed.Outcome, closed.Code));
        Assert.EndsWith(
            "The run itself ended: Stopped, STOP: Stopped by A. Invented: smoke",
            closed.Detail,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void First_of_several_commands_that_fail_is_the_one_that_is_named()
    {
        var world = Short();
        var failed = 0;
        world.OnAppend = e =>
        {
            if (e is StepEnded or StepStarted && world.Entries.OfType<StepStarted>().Any() && failed < 2)
                throw new InvalidOperationException($"failure {++failed}");
        };
        var closed = world.Run();
        Assert.Equal(2, failed);
        Assert.Contains("failure 1", closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Whoever_is_still_asked_when_the_run_ends_is_let_go()
    {
        var world = Short();
        CancellationToken open = default;
        world.Run(async w =>
        {
            await w.UnderLoad();
            w.OnAsk = (_, cancel) =>
            {
                open = cancel;
                return Task.Delay(Timeout.InfiniteTimeSpan, w.Pump, cancel);
            };
            await Task.Delay(TimeSpan.FromSeconds(5), w.Pump);
            w.Engine!.LoadRemoved(new RemovalCause("SIGNAL", "The program was told to end."));
        });
        Assert.True(open.IsCancellationRequested);
    }

    [Fact]
    public void Entry_that_cannot_be_appended_removes_the_load_at_once()
    {
        var world = Short();
        var failedAt = TimeSpan.Zero;
        world.OnAppend = e =>
        {
            if (e is StatesRead && world.Engine!.State.Elements.Count > 0)
            {
                failedAt = failedAt == TimeSpan.Zero ? e.At : failedAt;
                throw new IOException("No space is left.");
            }
        };
        var closed = world.Run();
        Assert.Equal((Outcome.Interrupted, "DISK"), (closed.Outcome, closed.Code));
        var removed = world.Turns.First(t => t.Commands.Any(c => c is RemoveLoadNow)).Input.At;
        Assert.Equal(failedAt, removed);
    }

    [Fact]
    public void Question_withdrawn_by_a_removal_is_remarked()
    {
        var world = Short();
        world.Run(async w =>
        {
            await w.UnderLoad();
            w.OnAsk = (q, cancel) =>
                q.Action == HandAction.StopEngine
                    ? Task.CompletedTask
                    : Task.Delay(TimeSpan.FromHours(1), w.Pump, cancel);
            await w.WaitUntil(() => w.Engine!.State.OpenQuestion is not null);
            await Task.Delay(TimeSpan.FromSeconds(3), w.Pump);
            w.Engine!.Stop("A. Invented", "smoke");
        });
        var open = world.Entries.OfType<Asked>().Last(a => a.Question.Action != HandAction.StopEngine).Question.Number;
        Assert.Contains(world.Entries.OfType<Remarked>(), r => r.Text == $"Question {open} was withdrawn.");
    }

    [Fact]
    public void Channel_of_a_sudden_load_is_read_fast_until_its_time_or_the_load_is_over()
    {
        var plan = SomePlan.Long(
            """
              - energise: { mode: constant voltage }
              - transient:
                  at: 28 V
                  from: 0 %
                  to: 60 %
                  sample: output voltage
                  every: 20 ms
                  for: 3 s
                  steady within: 2 %
              - cool down: { for: 1 min }
            """
        );
        var world = new PortWorld(plan);
        var channel = plan.Steps.OfType<LoadTest.Sequencer.Planning.PointStep>().Single().Transient!.Channel;
        var id = plan.Bench.Channels[channel].InstrumentId;
        var (reads, fast, after) = (0, 0, 0);
        world.OnRead = i => reads += i == id ? 1 : 0;
        world.Run(async w =>
        {
            await w.WaitUntil(() => w.Turns.Any(t => t.Commands.Any(c => c is SetSampling { Channel: not null })));
            reads = 0;
            await Task.Delay(TimeSpan.FromSeconds(1), w.Pump);
            fast = reads;
            w.Engine!.Stop("A. Invented", "smoke");
            await Task.Delay(TimeSpan.FromSeconds(0.1), w.Pump);
            reads = 0;
            await Task.Delay(TimeSpan.FromSeconds(1), w.Pump);
            after = reads;
        });
        Assert.InRange(fast, 45, 51);
        Assert.InRange(after, 9, 11);
    }
}
