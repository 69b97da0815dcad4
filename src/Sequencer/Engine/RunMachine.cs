using System.Collections.Immutable;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Sequencer.Engine;

/// <summary>The run as a pure function: what is remembered and what happened, to what is remembered and what to do.</summary>
/// <remarks>
/// No clock, no wire, no file: a thin loop feeds it and carries out its commands in their order.
/// Feeding a run's inputs again reproduces its commands to the letter.
/// </remarks>
public static class RunMachine
{
    /// <summary>Time between two closings of a scan.</summary>
    public static TimeSpan ScanPeriod { get; } = TimeSpan.FromMilliseconds(100);

    /// <summary>One transition.</summary>
    /// <param name="plan">The plan, which never changes during a run.</param>
    /// <param name="state">What is remembered.</param>
    /// <param name="input">What happened.</param>
    /// <returns>What is remembered from now on, and what to do, in order.</returns>
    public static (RunState State, ImmutableArray<RunCommand> Commands) Next(
        RunPlan plan,
        RunState state,
        RunInput input
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(input);
        if (state.Phase == RunPhase.Closed)
            return (state, []);
        var turn = new Turn(plan, state, input.At);
        turn.Take(input);
        return (turn.State, turn.Commands);
    }
}
