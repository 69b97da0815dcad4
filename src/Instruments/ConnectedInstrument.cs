using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments;

/// <summary>An instrument of the bench on its line, as the engine and a person looking at the link see it.</summary>
/// <param name="Meter">What reads; every instrument can at least say who it is.</param>
/// <param name="Load">What switches, when it is a load bank.</param>
/// <param name="Link">What happened on its line.</param>
public sealed record ConnectedInstrument(IMeter Meter, ILoad? Load, LinkCounters Link);
