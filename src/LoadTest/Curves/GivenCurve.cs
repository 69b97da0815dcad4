using System.Collections.Immutable;
using LoadTest.Analysis.VoltAmp;
using LoadTest.Sequencer.Text;

namespace LoadTest.Curves;

/// <summary>One curve's readings as a file gives them.</summary>
/// <param name="Name">Name from the file's column <c>curve</c>, or the file's own.</param>
/// <param name="Place">Where its readings begin.</param>
/// <param name="Points">The readings, in the order of the file.</param>
/// <param name="AmperesDigit">Finest last digit written among its currents, A.</param>
/// <param name="VoltsDigit">Finest last digit written among its voltages, V.</param>
internal sealed record GivenCurve(
    string Name,
    Place Place,
    ImmutableArray<VoltAmpPoint> Points,
    double AmperesDigit,
    double VoltsDigit
);
