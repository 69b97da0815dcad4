using System.Collections.Immutable;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments;

/// <summary>An instrument of the bench on its line, as the engine and a person looking at the link see it.</summary>
/// <param name="Meter">What reads; every instrument can at least say who it is.</param>
/// <param name="Load">What switches, when it is a load bank.</param>
/// <param name="Link">What happened on its line.</param>
public sealed record ConnectedInstrument(IMeter Meter, ILoad? Load, LinkCounters Link)
{
    /// <summary>Looks at its settings, flags, relays and setter without changing anything.</summary>
    public IInspect? Inspect { get; init; }

    /// <summary>Reads inputs however it is set just now; for looking at it, never for a run.</summary>
    public required Func<
        ImmutableArray<string>,
        CancellationToken,
        Task<ImmutableArray<Indication>>
    > ReadAsFoundAsync { get; init; }

    /// <summary>Its relay for output enable, when it has one.</summary>
    public IOutputEnable? OutputEnable { get; init; }

    /// <summary>Its analogue output for the unit's control, when it has one.</summary>
    public IRemoteSetter? Setter { get; init; }
}
