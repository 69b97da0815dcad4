using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class ClockTests
{
    private static readonly TimeSpan Hour = TimeSpan.FromHours(1);

    private static TimeSpan Seconds(double seconds) => TimeSpan.FromSeconds(seconds);

    [Theory]
    [InlineData(-37)]
    [InlineData(3600)]
    [InlineData(-3600)]
    public void Set_clock_changes_nothing_but_one_entry(double seconds)
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilMeasuringUnderLoad();
        var before = world.State;

        var commands = world.Feed(new ClockStepped(world.Machine.Now, Seconds(seconds)));
        Assert.Equal(
            new ClockMoved(world.Machine.Now, Seconds(seconds)),
            Assert.IsType<Write>(Assert.Single(commands)).Entry
        );
        Assert.Equal(before, world.State);
    }

    [Fact]
    public void Sleep_of_the_machine_removes_the_load_before_anything_else()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilMeasuringUnderLoad();

        var commands = world.Feed(new MachineSlept(world.Machine.Now, Hour));
        Assert.Equal("SUSPEND", Assert.IsType<RemoveLoadNow>(commands[0]).Cause.Code);
        world.UntilClosed();
        Assert.Equal((Outcome.Tripped, BankEnd.Off), (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank));
    }

    [Theory]
    [InlineData(0.49, 0, null)]
    [InlineData(0.5, 0, "step 0.5")]
    [InlineData(-3600, 0, "step -3600")]
    [InlineData(120, 120, "slept 120")]
    [InlineData(115, 120, "slept 120, step -5")]
    [InlineData(0.2, 0.2, null)]
    [InlineData(0.25, 0.25, "slept 0.25")]
    public void Step_and_sleep_are_told_apart(double wall, double slept, string? seen)
    {
        var now = new ClockLook(Hour, Seconds(7));
        var watch = new ClockWatch(() => now, now);
        Assert.Empty(watch.Look(TimeSpan.Zero));

        now = new ClockLook(Hour + Seconds(wall), Seconds(7 + slept));
        var inputs = watch.Look(Seconds(1)).ToArray();
        var words = string.Join(
            ", ",
            inputs.Select(i =>
                i is MachineSlept s ? $"slept {s.For.TotalSeconds}" : $"step {((ClockStepped)i).By.TotalSeconds}"
            )
        );
        Assert.Equal(seen ?? "", words);
        Assert.All(inputs, i => Assert.Equal(Seconds(1), i.At));
        Assert.Empty(watch.Look(Seconds(2)));
    }

    [Fact]
    public void Small_steps_add_up_until_they_are_worth_an_entry()
    {
        var now = new ClockLook(Hour, default);
        var watch = new ClockWatch(() => now, now);
        var told = new List<TimeSpan>();
        for (var k = 1; k <= 30; k++)
        {
            now = now with { WallOffset = Hour + k * Seconds(0.1) };
            told.AddRange(watch.Look(k * Seconds(1)).OfType<ClockStepped>().Select(s => s.By));
        }

        Assert.Equal(Seconds(3), told.Aggregate(TimeSpan.Zero, (sum, by) => sum + by));
    }

    [Fact]
    public void Engine_looks_at_the_clocks_with_every_scan_and_removes_the_load_after_a_sleep()
    {
        var world = new PortWorld(SomePlan.Short);
        var look = new ClockLook(Hour, default);
        world.Clocks = () => look;
        var closed = world.Run(async w =>
        {
            await w.UnderLoad();
            look = new ClockLook(Hour - Seconds(37), default);
            await Task.Delay(Seconds(0.2), w.Pump);
            look = new ClockLook(Hour - Seconds(37) + Seconds(600), Seconds(600));
        });

        Assert.Equal((Outcome.Tripped, "SUSPEND", BankEnd.Off), (closed.Outcome, closed.Code, closed.Bank));
        Assert.Equal(Seconds(-37), world.Entries.OfType<ClockMoved>().Single().By);
    }
}
