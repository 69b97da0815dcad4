using LoadTest.Instruments;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Probing;

/// <summary>An instrument of the bench on its line, or why it is not.</summary>
/// <param name="Instrument">As the bench file has it.</param>
/// <param name="Address">Its line, as a person writes it.</param>
/// <param name="Line">The line; null when it could not be opened, or there is none.</param>
/// <param name="Connected">What is at its other end; null likewise.</param>
/// <param name="Trouble">Why there is no line; empty otherwise.</param>
internal sealed record ProbedInstrument(
    BenchInstrument Instrument,
    string Address,
    TappedLine? Line,
    ConnectedInstrument? Connected,
    string Trouble
)
{
    public string Id => Instrument.Id;
}
