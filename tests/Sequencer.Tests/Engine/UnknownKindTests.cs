using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;

namespace LoadTest.SequencerTests.Engine;

/// <summary>The closed sets of the engine are closed: what is none of their kinds is refused by name, never passed over.</summary>
public sealed class UnknownKindTests
{
    private sealed record Rumour(TimeSpan At) : RunInput(At);

    private sealed record Detour(int Number) : PlannedStep(Number, "Detour", Some.Here);

    [Fact]
    public void Input_of_no_known_kind_is_refused()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        var error = Assert.Throws<ArgumentException>(() => world.Feed(new Rumour(world.Machine.Now)));
        Assert.Contains(nameof(Rumour), error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Step_of_no_known_kind_is_refused()
    {
        var error = Assert.Throws<ArgumentException>(() => StepActs.For(SomePlan.Short, new Detour(1), new RunState()));
        Assert.Contains(nameof(Detour), error.Message, StringComparison.Ordinal);
    }
}
