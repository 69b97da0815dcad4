using System.Collections;

namespace LoadTest.Analysis.Loads;

/// <summary>Depth-first search over all states between two sets, for sources where neither plain order holds.</summary>
internal static class SwitchingSearch
{
    /// <summary>Most differing elements for which every state is looked at; 2^24 states are 2 MB of marks.</summary>
    public const int MostDiffering = 24;

    /// <summary>A path, or null; <paramref name="proved"/> tells whether null means that none exists.</summary>
    public static List<int>? Run(RatingCheck check, double[] needs, ElementSet from, ElementSet to, out bool proved)
    {
        var indices = from.Difference(to).Indices().ToArray();
        proved = indices.Length <= MostDiffering;
        return proved ? Search(check, needs, from, indices) : null;
    }

    private static List<int>? Search(RatingCheck check, double[] needs, ElementSet from, int[] indices)
    {
        var seen = new BitArray(1 << indices.Length);
        var path = new List<int>(indices.Length);
        var next = new int[indices.Length + 1];
        var done = 0u;
        while (path.Count < indices.Length)
        {
            var depth = path.Count;
            var k = next[depth]++;
            if (k == indices.Length)
            {
                if (depth == 0)
                {
                    return null;
                }

                done &= ~(1u << Array.IndexOf(indices, path[^1]));
                path.RemoveAt(depth - 1);
                continue;
            }

            var after = done | (1u << k);
            if (after == done || seen[(int)after])
            {
                continue;
            }

            seen[(int)after] = true;
            if (check.Holds(StateOf(from, indices, after), needs))
            {
                done = after;
                path.Add(indices[k]);
                next[path.Count] = 0;
            }
        }

        return path;
    }

    private static ElementSet StateOf(ElementSet from, int[] indices, uint done)
    {
        var bits = from.Mask;
        for (var k = 0; k < indices.Length; k++)
        {
            bits ^= (done >> k & 1u) << indices[k];
        }

        return new(bits);
    }
}
