using System.Collections.Immutable;

namespace LoadTest.Hunting;

/// <summary>How one seed ended.</summary>
/// <param name="Words">Outcome, code and what is known of the bank.</param>
/// <param name="Violation">The invariant that did not hold; null when all did.</param>
/// <param name="Mishaps">How many mishaps really happened.</param>
/// <param name="Strikes">Those of a kind that happened before the load was confirmed off for good, in order.</param>
/// <param name="WasOn">Whether anything was switched on.</param>
/// <param name="Span">Virtual time it took.</param>
/// <param name="Run">Virtual time of the run alone; zero when it never ended.</param>
/// <param name="Energised">Virtual time from the first element on to the end; zero when none ever was.</param>
/// <param name="Events">How many events were looked at.</param>
/// <param name="Journal">Every byte of its journal.</param>
internal sealed record SeedEnd(
    string Words,
    Violation? Violation,
    int Mishaps,
    ImmutableArray<Strike> Strikes,
    bool WasOn,
    TimeSpan Span,
    TimeSpan Run,
    TimeSpan Energised,
    long Events,
    ReadOnlyMemory<byte> Journal
);
