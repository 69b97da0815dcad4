namespace LoadTest.Analysis.Uncertainty;

/// <summary>Coverage intervals of a set of trials, sorting only the tails they need.</summary>
internal readonly record struct CoverageInterval(double Low, double High, double ShortestLow, double ShortestHigh)
{
    /// <summary>Probabilistically symmetric and shortest interval (JCGM 101:2008, 7.7).</summary>
    /// <param name="y">Trials; their order is changed.</param>
    /// <param name="probability">Coverage probability.</param>
    public static CoverageInterval Of(double[] y, double probability)
    {
        var m = y.Length;
        var q = Math.Min(m - 1, (int)Math.Round(probability * m));
        var tail = m - q;
        if (tail < m / 2)
        {
            Select(y, 0, m - 1, tail);
            Select(y, tail, m - 1, m - 1 - tail);
            Array.Sort(y, 0, tail);
            Array.Sort(y, m - tail, tail);
        }
        else
            Array.Sort(y);
        var r = tail / 2;
        var shortest = 0;
        for (var i = 1; i < tail; i++)
        {
            if (y[i + q] - y[i] < y[shortest + q] - y[shortest])
                shortest = i;
        }
        return new(y[r], y[r + q], y[shortest], y[shortest + q]);
    }

    /// <summary>Partly order so that the k-th smallest of a stretch stands at k, with nothing larger before it.</summary>
    private static void Select(double[] y, int left, int right, int k)
    {
        while (right > left)
        {
            var pivot = Median(y[left], y[left + (right - left) / 2], y[right]);
            int i = left,
                j = right;
            while (i <= j)
            {
                while (y[i] < pivot)
                    i++;
                while (y[j] > pivot)
                    j--;
                if (i <= j)
                {
                    (y[i], y[j]) = (y[j], y[i]);
                    i++;
                    j--;
                }
            }
            if (k <= j)
                right = j;
            else if (k >= i)
                left = i;
            else
                return;
        }
    }

    private static double Median(double a, double b, double c) => Math.Max(Math.Min(a, b), Math.Min(Math.Max(a, b), c));
}
