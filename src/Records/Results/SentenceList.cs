using System.Text.RegularExpressions;

namespace LoadTest.Records.Results;

/// <summary>Findings for a reader: sentences that differ in their numbers alone are said once and counted.</summary>
internal static partial class SentenceList
{
    /// <summary>The first of each kind in order, with how many more there are like it.</summary>
    public static IEnumerable<string> Of(IEnumerable<string> sentences) =>
        sentences
            .Distinct(StringComparer.Ordinal)
            .GroupBy(s => Numbers().Replace(s, "#"), StringComparer.Ordinal)
            .Select(g => g.Count() == 1 ? g.First() : $"{g.First()} ({g.Count() - 1} more like it.)");

    [GeneratedRegex(
        "[0-9]+([.,][0-9]+)?(E[+-]?[0-9]+)?",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex Numbers();
}
