using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>Where fits begin: shapes that a linear least-squares sum can find roughly.</summary>
internal static class FirstGuess
{
    public static double[] Line(ReadingSet set)
    {
        var x = Array.ConvertAll(set.Readings, r => r.Amperes);
        var y = Array.ConvertAll(set.Readings, r => r.Volts);
        var fit = LineFit.Fit(x, y, [], VarianceBasis.Known);
        return [fit.Intercept.Value, -fit.Slope.Value];
    }

    // V = E − R I − c V I is linear in E, R and c; in spans of each axis. A ceiling that rises is no droop and begins as a straight line.
    public static double[] Droop(ReadingSet set)
    {
        var (sv, sa) = (Math.Max(Math.Abs(set.HighVolts), 1e-9), Math.Max(Math.Abs(set.HighAmperes), 1e-9));
        var line = Line(set);
        double[] plain = [Math.Max(line[0], 1e-9), Math.Max(line[1], 1e-3 * sv / sa), 1e-3 / sa];
        if (set.Readings.Length < 3)
        {
            return plain;
        }

        Span<double> a = stackalloc double[9];
        Span<double> b = stackalloc double[3];
        foreach (var reading in set.Readings)
        {
            var (v, i) = (reading.Volts / sv, reading.Amperes / sa);
            ReadOnlySpan<double> row = [1, -i, -v * i];
            for (var j = 0; j < 3; j++)
            {
                b[j] += row[j] * v;
                for (var k = 0; k < 3; k++)
                {
                    a[(3 * j) + k] += row[j] * row[k];
                }
            }
        }

        var determinant = Determinant(a, -1, b);
        if (!(Math.Abs(determinant) > 1e-14))
        {
            return plain;
        }

        var (e, r, c) = (
            Determinant(a, 0, b) / determinant,
            Determinant(a, 1, b) / determinant,
            Determinant(a, 2, b) / determinant
        );
        return e > 0 && r > 0 && c > 0 ? [e * sv, r * sv / sa, c / sa] : plain;
    }

    // Of a 3 × 3 matrix, one column replaced (Cramer's rule).
    private static double Determinant(ReadOnlySpan<double> a, int replaced, ReadOnlySpan<double> b)
    {
        Span<double> m = stackalloc double[9];
        for (var j = 0; j < 9; j++)
        {
            m[j] = j % 3 == replaced ? b[j / 3] : a[j];
        }

        return (m[0] * ((m[4] * m[8]) - (m[5] * m[7])))
            - (m[1] * ((m[3] * m[8]) - (m[5] * m[6])))
            + (m[2] * ((m[3] * m[7]) - (m[4] * m[6])));
    }

    // α V² + β I² = 1 by least squares in spans.
    public static double[] Ellipse(ReadingSet set)
    {
        var (vv, vi, ii, v1, i1) = (0.0, 0.0, 0.0, 0.0, 0.0);
        var (sv, sa) = (Math.Max(Math.Abs(set.HighVolts), 1e-9), Math.Max(Math.Abs(set.HighAmperes), 1e-9));
        foreach (var reading in set.Readings)
        {
            var (v, i) = (reading.Volts / sv, reading.Amperes / sa);
            (v, i) = (v * v, i * i);
            (vv, vi, ii, v1, i1) = (vv + (v * v), vi + (v * i), ii + (i * i), v1 + v, i1 + i);
        }

        var determinant = (vv * ii) - (vi * vi);
        var alpha = ((v1 * ii) - (i1 * vi)) / determinant;
        var beta = ((i1 * vv) - (v1 * vi)) / determinant;
        var widest = 1 / (1.05 * 1.05);
        return
        [
            sv / Math.Sqrt(alpha > 0.01 ? alpha : 1),
            sa / Math.Sqrt(beta > 0.0001 && beta < widest ? beta : widest),
        ];
    }
}
