using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Cool-downs by time, by temperature, and given up.</summary>
public sealed class CoolDownTests
{
    private static readonly TimeSpan Scan = RunMachine.ScanPeriod;

    private static readonly RunPlan Plan = SomePlan.Long(
        """
          - energise: { mode: constant current }
          - hold: { at: 60 % of rated current, for: 10 s }
          - cool down: { for: 1 min, to: { unit temperature: 60 °C, bank outlet temperature: 45 °C }, at most: 8 min }
        """
    );

    private static HandFedWorld Cooling(Func<HandFedWorld, ChannelRole, double> celsius)
    {
        Assert.True(Plan.IsRunnable, string.Join('\n', Plan.Findings));
        var world = new HandFedWorld(Plan);
        world.Unit.Celsius = role => celsius(world, role);
        return world.Until(w => w.Act is CoolAct);
    }

    private static string[] Remarks(HandFedWorld world) =>
        [.. world.Machine.Entries.OfType<Remarked>().Select(r => r.Text)];

    [Fact]
    public void It_lasts_until_the_last_of_the_temperatures_has_reached_its_limit()
    {
        TimeSpan? cool = null;
        var world = Cooling(
            (w, role) =>
                role switch
                {
                    ChannelRole.UnitTemperature => 55,
                    // The limit itself is cool enough.
                    ChannelRole.BankOutletTemperature => cool is { } at && w.Machine.Now >= at
                        ? 45 / (1 + 2e-6)
                        : 45.01,
                    _ => 25,
                }
        );
        cool = world.Machine.Now + TimeSpan.FromMinutes(4);
        world.Until(w => w.Act is not CoolAct);
        Assert.InRange(world.Machine.Now, cool.Value, cool.Value + 2 * Scan);
        Assert.Empty(Remarks(world));
        Assert.True(world.Contacts.IsEmpty);
        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
    }

    [Fact]
    public void It_is_given_up_after_its_longest_time_which_counts_from_the_fan()
    {
        var world = Cooling(
            (_, role) =>
                role switch
                {
                    ChannelRole.UnitTemperature => 80,
                    ChannelRole.BankOutletTemperature => 50,
                    _ => 25,
                }
        );
        var begun = world.Machine.Now;
        world.Until(w => w.Act is not CoolAct);
        Assert.InRange(world.Machine.Now - begun, TimeSpan.FromMinutes(7), TimeSpan.FromMinutes(7) + 2 * Scan);
        Assert.Equal(
            "Cool-down given up after 8 min: unit temperature is 80 °C, 60 °C was asked for, bank outlet temperature is 50 °C, 45 °C was asked for.",
            Assert.Single(Remarks(world))
        );
        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
    }

    [Fact]
    public void Only_what_is_still_hot_is_named()
    {
        var world = Cooling((_, role) => role == ChannelRole.UnitTemperature ? 80 : 25);
        world.Until(w => w.Act is not CoolAct);
        Assert.Equal(
            "Cool-down given up after 8 min: unit temperature is 80 °C, 60 °C was asked for.",
            Assert.Single(Remarks(world))
        );
    }

    [Fact]
    public void A_reading_from_before_does_not_count()
    {
        var logger = Plan.Bench.Channels.Single(c => c.Role == ChannelRole.UnitTemperature).InstrumentId;
        var world = Cooling((_, _) => 25);
        world.Silent.Add(logger);
        var begun = world.Machine.Now;
        world.For(TimeSpan.FromSeconds(1));
        Assert.IsType<CoolAct>(world.Act);
        world.Silent.Clear();
        world.Until(w => w.Act is not CoolAct);
        Assert.InRange(world.Machine.Now - begun, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1) + 3 * Scan);
    }
}
