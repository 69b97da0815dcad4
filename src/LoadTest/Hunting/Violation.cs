using System.Globalization;

namespace LoadTest.Hunting;

/// <summary>An invariant that did not hold.</summary>
/// <param name="Seed">Seed of the run; the same seed shows it again.</param>
/// <param name="Invariant">Which.</param>
/// <param name="At">Virtual time since the run was opened.</param>
/// <param name="Seen">What was seen.</param>
/// <param name="Circumstances">Plan, bench and mishaps of the seed.</param>
internal sealed record Violation(ulong Seed, Invariant Invariant, TimeSpan At, string Seen, string Circumstances)
{
    /// <summary>One line: seed, invariant, time, what was seen.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"seed {Seed}: {Invariant} at {At.TotalSeconds:0.0000} s: {Seen}");
}
