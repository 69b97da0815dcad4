using System.Collections.Immutable;
using LoadTest.Analysis.Decision;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Results;

/// <summary>Pairs results as found with results as left: the run is judged by how the unit leaves.</summary>
/// <remarks>
/// House rule. A result as found is superseded when the same points were measured as left and that limit was judged there with any
/// verdict but not tested. An as-found failure stays in the record with its own verdict; without an as-left result it counts.
/// </remarks>
internal static class Supersession
{
    /// <summary>The groups with their superseded results marked.</summary>
    public static ImmutableArray<GroupResult> Mark(IReadOnlyList<GroupResult> groups)
    {
        var ordinals = Ordinals(groups);
        return
        [
            .. groups.Select(
                (g, i) =>
                    g.Group.Condition != Condition.AsFound
                        ? g
                        : Marked(g, groups.Where((_, k) => IsCounterpart(groups, ordinals, i, k)).FirstOrDefault())
            ),
        ];
    }

    private static bool IsCounterpart(IReadOnlyList<GroupResult> groups, int[] ordinals, int found, int left) =>
        groups[left].Group.Condition == Condition.AsLeft
        && groups[left].Group.PointsName == groups[found].Group.PointsName
        && ordinals[left] == ordinals[found];

    private static GroupResult Marked(GroupResult found, GroupResult? left)
    {
        if (left is null)
            return found;
        return found with
        {
            Judged =
            [
                .. found.Judged.Select(
                    (j, i) =>
                        i < left.Judged.Length && left.Judged[i].Measurand == j.Measurand
                            ? j with
                            {
                                IsSuperseded = By(left.Judged[i].Judgement.Verdict),
                            }
                            : j
                ),
            ],
        };
    }

    private static bool? By(Verdict left) =>
        left switch
        {
            Verdict.NotTested => false,
            Verdict.Unknown => null,
            _ => true,
        };

    // Which of the groups of its points block and condition a group is: the first, the second and so on.
    private static int[] Ordinals(IReadOnlyList<GroupResult> groups)
    {
        var seen = new Dictionary<(string?, Condition), int>();
        return
        [
            .. groups.Select(g =>
            {
                var key = (g.Group.PointsName, g.Group.Condition);
                seen[key] = seen.GetValueOrDefault(key) + 1;
                return seen[key];
            }),
        ];
    }
}
