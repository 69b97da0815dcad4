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
