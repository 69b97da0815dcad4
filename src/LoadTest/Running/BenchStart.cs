using System.Collections.Immutable;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>The first thing done to a bench, before any question: all-off and its reading back, then runs left open are closed.</summary>
/// <param name="Off">What became of the load.</param>
/// <param name="Previous">The run before the one to come; null for the first of a store.</param>
/// <param name="Words">What a person has to know of it, whole sentences; also for the journal of the run to come.</param>
internal sealed record BenchStart(FirstOff Off, PreviousRun? Previous, ImmutableArray<string> Words)
{
    /// <summary>What an earlier run left to be put right on this bench, for the gate.</summary>
    public ImmutableArray<Caution> Clearances { get; init; } = [];

    /// <summary>Starts a bench.</summary>
    /// <param name="plan">The plan about to be run.</param>
    /// <param name="stand">The bench, connected.</param>
    /// <param name="store">Folder of all runs.</param>
    /// <param name="pump">The pump.</param>
    /// <exception cref="IOException">The store cannot be read.</exception>
    public static BenchStart Make(RunPlan plan, IStand stand, string store, Pump pump)
    {
        var off = pump.Run(() => FirstOff.SendAsync(plan, stand.Load, stand.Meters, pump, stand.Output));
        var closed = new InterruptedRuns(plan.Bench.Name, off, pump.GetUtcNow()).Close(store);
        var words = off.IsOpen
            ? closed
            :
            [
                $"LOAD OFF NOT CONFIRMED. {OffWords.Instruction} All-off was asked for before anything else: {SentenceText.Of(off.Detail)}",
                .. closed,
            ];
        return new BenchStart(off, RunStore.Previous(store), words)
        {
            Clearances = StuckContactors.Uncleared(store, plan.Bench.Name) is { } stuck ? [stuck] : [],
        };
    }
}
