namespace LoadTest.Analysis.Uncertainty;

/// <summary>Correlation matrix of a budget's inputs, checked to be one that can occur.</summary>
internal sealed class CorrelationMatrix
{
    // A pivot this much below zero is a contradiction, not rounding.
    private const double PivotRounding = 1e-12;

    private readonly double[,] _r;

    private CorrelationMatrix(double[,] r) => _r = r;

    public int Count => _r.GetLength(0);

    public double this[int i, int j] => _r[i, j];

    public bool IsCorrelated(int i)
    {
        for (var j = 0; j < Count; j++)
        {
            if (j != i && _r[i, j] != 0)
                return true;
        }
        return false;
    }

    public static CorrelationMatrix Of(
        string measurand,
        IReadOnlyList<UncertaintyInput> inputs,
        IReadOnlyList<Correlation> correlations
    )
    {
        Guard.Require(inputs.Count > 0, $"{measurand}: a budget needs at least one input.");
        var r = Shared(inputs);
        foreach (var c in correlations)
        {
            Guard.Require(
                c.Coefficient is >= -1 and <= 1,
                $"{measurand}: the correlation of \"{c.First}\" and \"{c.Second}\" is {c.Coefficient}; it must be −1 to 1."
            );
            int i = Find(c.First),
                j = Find(c.Second);
            Guard.Require(i != j, $"{measurand}: \"{c.First}\" is correlated with itself; name two inputs.");
            Guard.Require(
                r[i, j] == 0,
                $"{measurand}: the correlation of \"{c.First}\" and \"{c.Second}\" is given twice."
            );
            r[i, j] = r[j, i] = c.Coefficient;
        }
        var matrix = new CorrelationMatrix(r);
        matrix.Cholesky(measurand);
        return matrix;

        int Find(string name)
        {
            var found = -1;
            for (var k = 0; k < inputs.Count; k++)
            {
                if (!string.Equals(inputs[k].Name, name, StringComparison.Ordinal))
                    continue;
                Guard.Require(
                    found < 0,
                    $"{measurand}: a correlation names \"{name}\", and two inputs are called so. Give each of them its own name."
                );
                found = k;
            }
            Guard.Require(
                found >= 0,
                $"{measurand}: a correlation names \"{name}\", which is no input of this budget."
            );
            return found;
        }
    }

    // One and the same error in two lines: they move together.
    private static double[,] Shared(IReadOnlyList<UncertaintyInput> inputs)
    {
        var r = new double[inputs.Count, inputs.Count];
        for (var i = 0; i < inputs.Count; i++)
        {
            r[i, i] = 1;
            for (var j = 0; j < i; j++)
            {
                var isOne =
                    inputs[i].IsShared
                    && inputs[i].Component == inputs[j].Component
                    && string.Equals(inputs[i].SharedBy, inputs[j].SharedBy, StringComparison.Ordinal);
                if (isOne)
                    r[i, j] = r[j, i] = 1;
            }
        }
        return r;
    }

    /// <summary>The matrix with each coefficient off the diagonal replaced.</summary>
    public CorrelationMatrix Mapped(Func<int, int, double, double> replace)
    {
        var r = (double[,])_r.Clone();
        for (var i = 0; i < Count; i++)
        {
            for (var j = 0; j < Count; j++)
                r[i, j] = i == j || r[i, j] == 0 ? r[i, j] : replace(i, j, r[i, j]);
        }
        return new(r);
    }

    /// <summary>Inputs that hang together by correlation: the number of the first of them, for each.</summary>
    public int[] Groups()
    {
        var group = new int[Count];
        for (var i = 0; i < group.Length; i++)
            group[i] = i;
        for (var i = 0; i < group.Length; i++)
        {
            for (var j = 0; j < i; j++)
            {
                if (_r[i, j] == 0 || group[i] == group[j])
                    continue;
                int keep = Math.Min(group[i], group[j]),
                    drop = Math.Max(group[i], group[j]);
                for (var k = 0; k < group.Length; k++)
                    group[k] = group[k] == drop ? keep : group[k];
            }
        }
        return group;
    }

    /// <summary>x' R x, never below zero.</summary>
    public double Quadratic(ReadOnlySpan<double> x)
    {
        var sum = 0.0;
        for (var i = 0; i < x.Length; i++)
        {
            sum += x[i] * x[i];
            for (var j = i + 1; j < x.Length; j++)
                sum += 2 * x[i] * x[j] * _r[i, j];
        }
        return Math.Max(0, sum);
    }

    /// <summary>Lower triangle L with L L' = R; zero columns where inputs are fully correlated.</summary>
    /// <exception cref="ArgumentException">The coefficients contradict each other.</exception>
    public double[,] Cholesky(string measurand)
    {
        var n = Count;
        var l = new double[n, n];
        for (var j = 0; j < n; j++)
        {
            var pivot = _r[j, j];
            for (var k = 0; k < j; k++)
                pivot -= l[j, k] * l[j, k];
            Guard.Require(pivot > -PivotRounding, Contradiction(measurand));
            l[j, j] = pivot > PivotRounding ? Math.Sqrt(pivot) : 0;
            for (var i = j + 1; i < n; i++)
            {
                var sum = _r[i, j];
                for (var k = 0; k < j; k++)
                    sum -= l[i, k] * l[j, k];
                Guard.Require(l[j, j] > 0 || Math.Abs(sum) < 1e-6, Contradiction(measurand));
                l[i, j] = l[j, j] > 0 ? sum / l[j, j] : 0;
            }
        }
        return l;
    }

    private static string Contradiction(string measurand) =>
        $"{measurand}: the correlation coefficients contradict each other (no set of inputs can have them all). Check their signs and sizes.";
}
