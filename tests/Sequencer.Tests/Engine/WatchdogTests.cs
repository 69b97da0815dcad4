using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class WatchdogTests
{
    private static readonly TimeSpan Armed = TimeSpan.FromSeconds(2);

    private static bool IsQuiet(HandFedWorld world) => world.Act is ProveWatchdogAct && world.State.IsBankQuiet;

    [Fact]
    public void Watchdog_is_proved_with_one_element_and_the_engine_stopped_before_anything_else_is_asked()
    {
        var world = new HandFedWorld(SomePlan.Watched).Until(w => w.Act is AskAct { Action: HandAction.StartEngine });

        var proof = world.Machine.Entries.OfType<GateChecked>().Single(c => c.Check == "communication watchdog");
        Assert.True(proof.Passed);
        var switched = world.Machine.Commands.OfType<SwitchElements>().ToArray();
        Assert.Equal([1, 0], switched.Select(s => s.Elements.Count));
        Assert.True(world.Contacts.IsEmpty);
        Assert.DoesNotContain(world.Machine.Turns, t => t.State.IsEngineRunning);
    }

    [Fact]
    public void Nothing_is_said_to_the_bank_while_its_watchdog_is_to_act_and_the_meters_are_read_all_the_while()
    {
        var world = new HandFedWorld(SomePlan.Watched).Until(IsQuiet);
        var from = world.Machine.Now;
        var turns = world.Machine.Turns.Count;

        world.Until(w => !w.State.IsBankQuiet);
        Assert.InRange(world.Machine.Now - from, Armed + TimeSpan.FromSeconds(0.5), Armed + TimeSpan.FromSeconds(1));
        var quiet = world.Machine.Turns.Skip(turns).SkipLast(1).ToArray();
        Assert.DoesNotContain(quiet.SelectMany(t => t.Commands), c => c is ReadStates or SwitchElements or SetFan);
        Assert.Contains(quiet, t => t.Input is ReadingsArrived);
    }

    [Fact]
    public void Watchdog_that_does_not_act_is_refused_and_the_element_goes_off_by_command()
    {
        var world = new HandFedWorld(SomePlan.Watched) { HasDeadWatchdog = true }.UntilClosed();

        Assert.Equal(
            (Outcome.Refused, "WATCHDOG", BankEnd.Off),
            (world.Machine.Closed!.Outcome, world.Machine.Closed.Code, world.Machine.Closed.Bank)
        );
        Assert.True(world.Contacts.IsEmpty);
        Assert.DoesNotContain(world.Machine.Turns, t => t.State.IsEngineRunning);
    }

    [Fact]
    public void Stop_in_the_silence_speaks_to_the_bank_at_once()
    {
        var world = new HandFedWorld(SomePlan.Watched).Until(IsQuiet);

        var commands = world.Feed(new StopAsked(world.Machine.Now, "A. Invented", "no"));
        Assert.IsType<RemoveLoadNow>(commands[0]);
        Assert.Contains(new SetBankQuiet(false), commands);
        Assert.Contains(commands, c => c is ReadStates);
        world.UntilClosed();
        Assert.Equal((Outcome.Stopped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Fact]
    public void Meter_silent_meanwhile_trips_all_the_same()
    {
        var world = new HandFedWorld(SomePlan.Watched).Until(IsQuiet);
        world.Silent.Add("dmm-1");

        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1.5));
        Assert.Equal("SILENT", world.State.Latched!.Code);
    }

    [Fact]
    public void Watchdog_is_proved_once_a_run_and_not_at_all_where_there_is_none()
    {
        var watched = new HandFedWorld(SomePlan.Watched).UntilClosed();
        var without = new HandFedWorld(SomePlan.Short).UntilClosed();

        Assert.Equal(Outcome.Complete, watched.Machine.Closed!.Outcome);
        Assert.Single(watched.Machine.Commands.OfType<SetBankQuiet>(), c => c.IsQuiet);
        Assert.Equal(Outcome.Complete, without.Machine.Closed!.Outcome);
        Assert.DoesNotContain(without.Machine.Commands, c => c is SetBankQuiet);
    }

    [Fact]
    public void Loop_leaves_only_the_bank_alone_and_the_run_goes_on_to_its_end()
    {
        var world = new PortWorld(SomePlan.Watched);
        var read = new List<(TimeSpan At, string Id)>();
        world.OnRead = id => read.Add((TimeSpan.FromTicks(world.Pump.GetTimestamp()), id));
        var closed = world.Run();

        Assert.Equal(Outcome.Complete, closed.Outcome);
        var quiet = world.Turns.Single(t => t.Commands.Contains(new SetBankQuiet(true))).Input.At;
        var slack = RunMachine.ScanPeriod * 2;
        var meanwhile = read.Where(r => r.At > quiet + slack && r.At < quiet + Armed).Select(r => r.Id).ToArray();
        Assert.DoesNotContain(meanwhile, id => id == "bank-1");
        Assert.Contains(meanwhile, id => id == "dmm-1");
        Assert.Contains(meanwhile, id => id == "dmm-2");
        Assert.Contains(meanwhile, id => id == "dmm-3");
    }

    [Fact]
    public void States_asked_for_before_the_silence_was_over_prove_nothing()
    {
        var world = new HandFedWorld(SomePlan.Watched).Until(IsQuiet);
        var old = world.State.StatesAsked;
        var off = world.States() with { Contacts = default, Commanded = default };
        world.Feed(new StatesArrived(world.Machine.Now, old, off));
        Assert.False(world.State.IsWatchdogProved);
        world.Feed(new StatesArrived(world.Machine.Now, old + 5, off));
        Assert.False(world.State.IsWatchdogProved);
        world.Ignores = c => c is ReadStates;
        world.Until(w => !w.State.IsBankQuiet);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.Progress.StatesAfter, off));
        Assert.False(world.State.IsWatchdogProved);
        world.Feed(new StatesArrived(world.Machine.Now, world.State.Progress.StatesAfter + 1, off));
        Assert.True(world.State.IsWatchdogProved);
    }
}
