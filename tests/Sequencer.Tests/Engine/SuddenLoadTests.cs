using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Sudden loads: settled before, sampled fast from before to after, guarded by both states while it changes.</summary>
public sealed class SuddenLoadTests
{
    private static readonly RunPlan Plan = SomePlan.Long(
        """
          - energise: { mode: constant voltage }
          - transient:
              at: 28 V
              from: 60 %
              to: 20 %
              sample: output voltage
              every: 5 ms
              for: 3 s
              steady within: 2 %
              expect: { overshoot: at most 25 %, recovery time: at most 1 s }
          - cool down: { for: 1 min }
        """
    );

    private static readonly PointStep Point = Plan.Steps.OfType<PointStep>().Single();

    private static HandFedWorld Sampling()
    {
        Assert.True(Plan.IsRunnable, string.Join('\n', Plan.Findings));
        return new HandFedWorld(Plan).Until(w => w.Machine.Turns[^1].Commands.OfType<SetSampling>().Any());
    }

    private static void Same(TripLimits expected, TripLimits? found)
    {
        Assert.Equal(
            (expected.Volts, expected.Amperes, expected.Conductance),
            (found!.Volts, found.Amperes, found.Conductance)
        );
        Assert.Equal(expected.Side, found.Side);
    }

    private static TimeSpan When(HandFedWorld world, Func<RunCommand, bool> what) =>
        world.Machine.Turns.First(t => t.Commands.Any(what)).Input.At;

    [Fact]
    public void Before_it_the_load_it_comes_from_has_settled_and_is_guarded_by_its_own_limits()
    {
        var world = Sampling();
        var before = Point.Transient!.From;
        Assert.Equal(before.Elements, world.Contacts);
        Assert.Equal(28, world.Setting);
        Assert.True(world.State.Progress.HasSettled);
        Same(before.Trips, world.State.Limits);
        Assert.Equal(0.25 * before.PredictedVolts.Value, world.State.LeastVolts);
    }

    [Fact]
    public void Its_channel_alone_is_sampled_from_before_the_change_until_its_time_is_over()
    {
        var world = Sampling().UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        var samplings = world.Machine.Commands.OfType<SetSampling>().ToArray();
        Assert.Equal(
            [
                new SetSampling(Point.Transient!.Channel, TimeSpan.FromMilliseconds(5)),
                new SetSampling(null, TimeSpan.Zero),
            ],
            samplings
        );
        var begun = When(world, c => c == samplings[0]);
        var changed = When(
            world,
            c => c is SwitchElements to && to.Elements == Point.State.All && begun > TimeSpan.Zero
        );
        var ended = When(world, c => c == samplings[1]);
        Assert.InRange(changed - begun, TransientPlan.Before, TransientPlan.Before + 2 * RunMachine.ScanPeriod);
        Assert.InRange(ended - changed, TimeSpan.FromSeconds(3), TimeSpan.FromSeconds(3.5));
    }

    [Fact]
    public void While_it_changes_both_states_limits_hold_and_after_it_those_of_the_new_one()
    {
        var world = Sampling().Until(w => w.Act is SwitchAct);
        Same(Point.State.Passing, world.State.Limits);
        world.Until(w => w.Act is MeasureAct);
        Assert.Equal(Point.State.Elements, world.Contacts);
        Same(Point.State.Trips, world.State.Limits);
        Assert.True(world.State.Progress.HasSettled);
        world.UntilClosed();
        Assert.Equal(Point.Number, world.Machine.Entries.OfType<PointMeasured>().Single().Step);
    }

    [Fact]
    public void Elements_change_in_one_command_that_only_opens_them_here()
    {
        var world = Sampling();
        var switched = world.Machine.Turns.Count;
        world.UntilClosed();
        var change = world.Machine.Turns.Skip(switched).SelectMany(t => t.Commands).OfType<SwitchElements>().First();
        Assert.Equal(Point.State.All, change.Elements);
        Assert.True(change.Elements.IsWithin(Point.Transient!.From.Elements));
        Assert.NotEqual(Point.Transient.From.Elements, change.Elements);
    }
}
