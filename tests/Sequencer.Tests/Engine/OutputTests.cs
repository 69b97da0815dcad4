using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

/// <summary>The output-enable relay; that its closing is durable first and never follows a removal is checked at every transition.</summary>
public sealed class OutputTests
{
    private static readonly RunPlan Plan = SomePlan.WithRelay;

    private static bool Switches(HandFedWorld world, bool isOn) => world.Act is OutputAct output && output.IsOn == isOn;

    [Fact]
    public void Relay_is_closed_whenever_the_output_is_enabled_and_open_at_the_end()
    {
        var world = new HandFedWorld(Plan);
        world.UntilMeasuringUnderLoad();
        Assert.True(world.IsRelayClosed);
        world.UntilClosed();
        Assert.False(world.IsRelayClosed);
        Assert.Equal((Outcome.Complete, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        var before = false;
        foreach (var (input, state, _) in world.Machine.Turns)
        {
            before = input is OutputFinished finished ? finished.IsClosed : before;
            Assert.True(before || !state.IsOutputEnabled, $"Output enabled with the relay open in step {state.Step}");
        }
    }

    [Fact]
    public void Relay_follows_the_output_however_often_it_is_enabled()
    {
        var world = new HandFedWorld(SomePlan.VerificationWithRelay).UntilClosed();
        Assert.Equal((Outcome.Complete, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
        var switched = world.Machine.Entries.OfType<OutputSwitched>().Select(o => o.IsClosed).ToArray();
        Assert.True(switched.Length >= 4);
        Assert.Equal(switched.Index().Select(s => s.Index % 2 == 0), switched);
    }

    [Fact]
    public void Relay_goes_with_the_bank_and_is_read_once_the_load_is_found_off()
    {
        var world = new HandFedWorld(Plan).UntilMeasuringUnderLoad();
        world.Feed(new StopAsked(world.Machine.Now, "A. Invented", ""));
        world.UntilClosed();
        Assert.False(world.IsRelayClosed);
        var read = Assert.Single(world.Machine.Entries.OfType<OutputSwitched>(), o => o.Command == 0);
        Assert.False(read.IsClosed);
    }

    [Theory]
    [InlineData(true, "MISMATCH")]
    [InlineData(false, "STUCK")]
    public void Contact_that_does_not_follow_trips(bool isOn, string code)
    {
        var world = new HandFedWorld(Plan).Until(w => Switches(w, isOn));
        world.SaysOfRelay = isClosed => (CommandResult.Ok, !isClosed);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, code), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Contact_that_cannot_be_read_trips(bool isOn)
    {
        var world = new HandFedWorld(Plan).Until(w => Switches(w, isOn));
        world.SaysOfRelay = _ => (CommandResult.Unknown("no reply"), false);
        world.Until(w => w.State.Latched is not null, TimeSpan.FromSeconds(1));
        Assert.Equal("The output-enable relay could not be read: no reply", world.State.Latched!.Detail);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, "LINK"), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
    }

    [Fact]
    public void Relay_that_never_answers_trips_within_ten_seconds_and_storage_that_does_not_within_five()
    {
        var world = new HandFedWorld(Plan) { Ignores = c => c is SwitchOutput };
        world.Until(w => Switches(w, isOn: true));
        var from = world.Machine.Now;
        world.UntilClosed(TimeSpan.FromSeconds(30));
        Assert.Equal("LINK", world.Machine.Closed!.Code);
        Assert.InRange(Latched(world) - from, TimeSpan.FromSeconds(10), TimeSpan.FromSeconds(10.2));

        world = new HandFedWorld(Plan) { Ignores = c => c is WriteSynced { Entry: OutputIntended } };
        world.Until(w => Switches(w, isOn: true));
        from = world.Machine.Now;
        world.UntilClosed(TimeSpan.FromSeconds(30));
        Assert.Equal("DISK", world.Machine.Closed!.Code);
        Assert.InRange(Latched(world) - from, TimeSpan.FromSeconds(5), TimeSpan.FromSeconds(5.2));
    }

    [Fact]
    public void Word_of_an_earlier_command_moves_nothing()
    {
        var world = new HandFedWorld(Plan) { Ignores = c => c is SwitchOutput };
        world.Until(w => w.State.Progress.Stage == ActStage.Switching && w.Act is OutputAct);
        var act = world.State.Act;
        world.Feed(new OutputFinished(world.Machine.Now, world.State.Progress.Command - 1, CommandResult.Ok, true));
        Assert.Equal(act, world.State.Act);
        world.Feed(new OutputFinished(world.Machine.Now, world.State.Progress.Command, CommandResult.Ok, true));
        Assert.Equal(act + 1, world.State.Act);
    }

    private static TimeSpan Latched(HandFedWorld world) => world.Machine.Entries.OfType<LoadRemoved>().Single().At;

    [Fact]
    public void Entry_told_to_be_durable_twice_switches_the_relay_once()
    {
        var world = new HandFedWorld(SomePlan.WithRelay)
        {
            Ignores = c => c is WriteSynced { Entry: OutputIntended } or SwitchOutput,
        };
        world.Until(w => w.Act is OutputAct);
        var intent = world.Machine.Entries.OfType<OutputIntended>().Single();
        world.Feed(new EntrySynced(world.Machine.Now, intent.Command));
        Assert.Empty(world.Feed(new EntrySynced(world.Machine.Now, intent.Command)));
        Assert.Single(world.Machine.Commands.OfType<SwitchOutput>());
    }
}
