using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Contacts have the time their definition file gives them.</summary>
public sealed class ContactTimeTests
{
    private const double Slow = 0.55;
    private static readonly TimeSpan Slower = TimeSpan.FromSeconds(Slow);

    // Ticks come ten times a second; a command and an answer take less than another.
    private static readonly TimeSpan Slack = TimeSpan.FromSeconds(0.2);

    private static RunPlan Timed(double closes, double opens)
    {
        BenchInstrument Of(BenchInstrument instrument) =>
            instrument.Definition.Switching is not { } switching
                ? instrument
                : instrument with
                {
                    Definition = instrument.Definition with
                    {
                        Switching = switching with
                        {
                            CloseTime = TimeSpan.FromSeconds(closes),
                            OpenTime = TimeSpan.FromSeconds(opens),
                        },
                    },
                };
        var bench = SomePlan.Short.Bench;
        return SomePlan.Short with { Bench = bench with { Instruments = [.. bench.Instruments.Select(Of)] } };
    }

    private static HandFedWorld AtFirstSwitch(RunPlan plan, bool isDead = false)
    {
        var world = new HandFedWorld(plan).Until(w => w.Act is WaitAct).Until(w => w.Act is SwitchAct);
        if (isDead)
            world.Dead = Assert.IsType<SwitchAct>(world.Act).To;
        return world.Until(w => w.State.Progress.Stage == ActStage.Closing);
    }

    [Theory]
    [InlineData(Slow, 0.1)]
    [InlineData(0.1, Slow)]
    public void Contacts_are_read_back_once_the_slower_of_closing_and_opening_has_had_its_time(
        double closes,
        double opens
    )
    {
        var world = AtFirstSwitch(Timed(closes, opens));
        var ended = world.Machine.Entries.OfType<SwitchEnded>().Last().At;
        world.Until(w => w.State.Progress.Stage == ActStage.ReadingBack);
        Assert.InRange(world.Machine.Now - ended, Slower, Slower + Slack);
    }

    [Fact]
    public void Contact_that_did_not_close_is_given_the_same_time_once_more()
    {
        var world = AtFirstSwitch(Timed(Slow, 0.1), isDead: true);
        var ended = world.Machine.Entries.OfType<SwitchEnded>().Last().At;
        world.Until(w => w.State.Latched is not null);
        Assert.Equal("STEP", world.State.Latched!.Code);
        Assert.InRange(world.Machine.Now - ended, 2 * Slower, 2 * (Slower + Slack));
    }
}
