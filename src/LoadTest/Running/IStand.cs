using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Running;

/// <summary>A bench whose instruments are connected, for one run.</summary>
internal interface IStand : IDisposable
{
    /// <summary>The load bank.</summary>
    ILoad Load { get; }

    /// <summary>The relay that lets the unit give output; null where the bench has none.</summary>
    IOutputEnable? Output { get; }

    /// <summary>Every instrument by its id.</summary>
    IReadOnlyDictionary<string, IMeter> Meters { get; }

    /// <summary>What happened on the line of each instrument, by its id.</summary>
    IReadOnlyDictionary<string, LinkCounters> Links { get; }

    /// <summary>The hands at the simulated machine; null at a real one, where a person has them.</summary>
    Hands? Hands { get; }

    /// <summary>What the proof that it is simulated rests on, once it was proved; null at a real bench.</summary>
    SimulationProof? Proof { get; }

    /// <summary>Worth knowing about its lines, for the journal.</summary>
    IReadOnlyList<string> Remarks { get; }

    /// <summary>Proves that everything on it is simulated, where it says so; on the pump, before anything else.</summary>
    /// <exception cref="IOException">It could not be proved; the words say why.</exception>
    Task ProveSimulatedAsync();
}
