using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>Overload an element survives from normal temperature: so many volts for so long.</summary>
/// <param name="Volts">DC volts across the element, above its continuous volts.</param>
/// <param name="For">How long it may last before the element has to cool, above zero.</param>
public sealed record ShortTimeRating(Volts Volts, TimeSpan For);
