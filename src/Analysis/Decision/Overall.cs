namespace LoadTest.Analysis.Decision;

/// <summary>What a whole run says.</summary>
public enum OverallVerdict
{
    /// <summary>Nothing failed, nothing is undecided, and something required was not tested.</summary>
    Incomplete,

    /// <summary>Everything required was tested and passed.</summary>
    Pass,

    /// <summary>At least one item failed.</summary>
    Fail,

    /// <summary>Nothing failed and at least one item is undecided.</summary>
    Undecided,

    /// <summary>Nothing failed for certain, and of at least one item the evidence is missing.</summary>
    Unknown,
}

/// <summary>One judged item of a run.</summary>
/// <param name="Name">Name of the item.</param>
/// <param name="Verdict">Its verdict.</param>
/// <param name="IsRequired">Whether the run is incomplete without it.</param>
public readonly record struct JudgedItem(string Name, Verdict Verdict, bool IsRequired = true);

/// <summary>The verdict of a run from the verdicts of its items, with the names that decided it.</summary>
/// <param name="Verdict">The overall verdict.</param>
/// <param name="Because">Names of the items that decided it, in order.</param>
/// <param name="Words">One sentence.</param>
public sealed record Overall(OverallVerdict Verdict, IReadOnlyList<string> Because, string Words)
{
    /// <summary>Fail if any fails, unknown if any is, undecided if any is, incomplete if a required item was not tested, else pass.</summary>
    /// <param name="items">The items, in any order; the answer does not depend on it.</param>
    /// <remarks>House rule. A run that judged nothing is incomplete, never a pass.</remarks>
    public static Overall Of(IReadOnlyList<JudgedItem> items)
    {
        ArgumentNullException.ThrowIfNull(items);
        var failed = Names(items, i => i.Verdict == Decision.Verdict.Fail);
        if (failed.Count > 0)
            return new(OverallVerdict.Fail, failed, $"Fail: {List(failed)} outside the limits.");
        var unknown = Names(items, i => i.Verdict == Decision.Verdict.Unknown);
        if (unknown.Count > 0)
            return new(OverallVerdict.Unknown, unknown, $"Unknown: the evidence is missing for {List(unknown)}.");
        var undecided = Names(items, i => i.Verdict == Decision.Verdict.Undecided);
        var missing = Names(items, i => i is { Verdict: Decision.Verdict.NotTested, IsRequired: true });
        if (undecided.Count > 0)
            return new(
                OverallVerdict.Undecided,
                undecided,
                $"Undecided: {List(undecided)} too close to a limit for these meters{(missing.Count > 0 ? $"; not tested: {List(missing)}" : "")}."
            );
        if (missing.Count > 0)
            return new(OverallVerdict.Incomplete, missing, $"Incomplete: {List(missing)} not tested.");
        var passed = Names(items, i => i.Verdict == Decision.Verdict.Pass);
        return passed.Count > 0
            ? new(OverallVerdict.Pass, passed, $"Pass: all {passed.Count} items within their limits.")
            : new(OverallVerdict.Incomplete, [], "Incomplete: nothing was judged.");
    }

    private static List<string> Names(IReadOnlyList<JudgedItem> items, Func<JudgedItem, bool> which) =>
        [.. items.Where(which).Select(i => i.Name)];

    private static string List(List<string> names) => string.Join(", ", names);
}
