using System.Collections.Immutable;

namespace LoadTest.Hunting;

/// <summary>What a hunt found.</summary>
/// <param name="Seeds">How many seeds were run.</param>
/// <param name="Failing">Ends of failing seeds, the lowest first; empty when every invariant held in every seed.</param>
/// <param name="Ends">How runs ended, and how many so.</param>
/// <param name="Sums">For each seed how it ended and the SHA-256 of its journal, lower-case hexadecimal.</param>
/// <param name="Mishaps">How many mishaps really happened.</param>
/// <param name="Events">After how many events the invariants were held against the run.</param>
/// <param name="MedianEnergised">Median of the virtual time from the first element on to the end, of the runs that switched any on.</param>
/// <param name="MedianSpan">Median of the virtual time from the first entry to the last.</param>
/// <param name="Span">Virtual time of all runs together.</param>
/// <param name="Took">Real time.</param>
/// <param name="Coverage">Which faults happened where in a run.</param>
internal sealed record HuntResult(
    int Seeds,
    ImmutableArray<SeedEnd> Failing,
    ImmutableSortedDictionary<string, int> Ends,
    ImmutableSortedDictionary<ulong, string> Sums,
    int Mishaps,
    long Events,
    TimeSpan MedianEnergised,
    TimeSpan MedianSpan,
    TimeSpan Span,
    TimeSpan Took,
    Coverage Coverage
)
{
    /// <summary>The last line of a hunt.</summary>
    public string LastLine =>
        Failing is [{ Violation: { } found }, ..]
            ? $"First failing seed: {found.Seed}"
            : $"{Seeds} seeds, 0 violations";
}
