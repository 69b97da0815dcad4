namespace LoadTest.Sequencer.Text;

/// <summary>Finds the known word a person most likely meant.</summary>
internal static class NearestWord
{
    /// <summary>The nearest of the known words, or null when none is near enough to be worth saying.</summary>
    /// <remarks>Optimal string alignment distance (insert, delete, replace, swap neighbours), case and hyphens ignored; a part of a word counts as distance 0; near means at
    /// most a third of the letters. <c>ouput curent</c> gives <c>output current</c> (distance 2).</remarks>
    internal static string? Of(string written, IEnumerable<string> known)
    {
        var plain = Plain(written);
        if (plain.Length is 0 or > 60)
        {
            return null;
        }
        string? best = null;
        var least = (plain.Length / 3) + 1;
        foreach (var word in known.Where(w => w.Length <= 60))
        {
            var distance = IsPartOf(plain, Plain(word)) ? 0 : Distance(plain, Plain(word));
            if (distance < least)
            {
                (best, least) = (word, distance);
            }
        }
        return best;
    }

    /// <summary>The end of a message: the nearest word if there is one, else all of them.</summary>
    internal static string Advice(string written, IReadOnlyCollection<string> known) =>
        Of(written, known) is { } near ? $"Did you mean `{near}`?" : $"Known here: {string.Join(", ", known)}.";

    private static bool IsPartOf(string written, string word) =>
        Math.Min(written.Length, word.Length) >= 3
        && (word.Contains(written, StringComparison.Ordinal) || written.Contains(word, StringComparison.Ordinal));

    private static string Plain(string word) =>
        string.Create(
            word.Length,
            word,
            static (span, w) =>
            {
                for (var i = 0; i < w.Length; i++)
                {
                    span[i] = w[i] is '-' or '_' ? ' ' : char.ToLowerInvariant(w[i]);
                }
            }
        );

    private static int Distance(string a, string b)
    {
        // Three rows of the table are enough: this one, the one above, and the one above that for swapped neighbours.
        Span<int> twoAbove = stackalloc int[b.Length + 1];
        Span<int> above = stackalloc int[b.Length + 1];
        Span<int> row = stackalloc int[b.Length + 1];
        for (var j = 0; j <= b.Length; j++)
        {
            above[j] = j;
        }
        for (var i = 1; i <= a.Length; i++)
        {
            row[0] = i;
            for (var j = 1; j <= b.Length; j++)
            {
                var change = a[i - 1] == b[j - 1] ? 0 : 1;
                row[j] = Math.Min(Math.Min(row[j - 1], above[j]) + 1, above[j - 1] + change);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                {
                    row[j] = Math.Min(row[j], twoAbove[j - 2] + 1);
                }
            }
            above.CopyTo(twoAbove);
            row.CopyTo(above);
        }
        return above[b.Length];
    }
}
