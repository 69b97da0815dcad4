using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>The models of the nonlinear NIST StRD sets with analytic derivatives, as each file's header states them.</summary>
internal static class CertifiedModels
{
    public static readonly IReadOnlyDictionary<string, NonlinearModel> All = new Dictionary<string, NonlinearModel>(
        StringComparer.Ordinal
    )
    {
        ["Misra1a"] = Saturation,
        ["BoxBOD"] = Saturation,
        ["Chwirut2"] = Ultrasonic,
        ["DanWood"] = Power,
        ["Eckerle4"] = Bell,
        ["Gauss1"] = TwoBells,
        ["Lanczos3"] = ThreeExponentials,
        ["MGH09"] = Rational,
        ["Rat43"] = Sigmoid,
        ["Thurber"] = CubicRatio,
        ["MGH10"] = ShiftedExponential,
        ["MGH17"] = TwoExponentials,
        ["Misra1d"] = Hyperbola,
        ["Rat42"] = Logistic,
        ["Roszman1"] = Arctangent,
        ["Misra1b"] = SquaredHyperbola,
        ["Misra1c"] = RootHyperbola,
        ["Chwirut1"] = Ultrasonic,
        ["Gauss2"] = TwoBells,
        ["Gauss3"] = TwoBells,
        ["Lanczos1"] = ThreeExponentials,
        ["Lanczos2"] = ThreeExponentials,
        ["Kirby2"] = QuadraticRatio,
        ["Hahn1"] = CubicRatio,
        ["Nelson"] = AgeingOfInsulation,
        ["ENSO"] = ThreeCycles,
        ["Bennett5"] = ShiftedPower,
    };

    /// <summary>Model, observations and predictors of a set, predictors observation by observation.</summary>
    public static (NonlinearModel Model, double[] Y, double[] X, int Predictors) Problem(CertifiedSet set) =>
        set.Name == "Nelson"
            ? (All[set.Name], Array.ConvertAll(set.Y, Math.Log), [.. set.Rows.SelectMany(r => r[1..])], 2)
            : (All[set.Name], set.Y, set.X, 1);

    private static double SquaredHyperbola(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = 1 + (0.5 * b[1] * x[0]);
        var v = 1 - (1 / (d * d));
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (v, b[0] * x[0] / (d * d * d));
        }

        return b[0] * v;
    }

    private static double RootHyperbola(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = 1 + (2 * b[1] * x[0]);
        var v = 1 - (1 / Math.Sqrt(d));
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (v, b[0] * x[0] / (d * Math.Sqrt(d)));
        }

        return b[0] * v;
    }

    private static double QuadraticRatio(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var t = x[0];
        var d = 1 + (t * (b[3] + (t * b[4])));
        var v = (b[0] + (t * (b[1] + (t * b[2])))) / d;
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (1 / d, t / d, t * t / d);
            (g[3], g[4]) = (-v * t / d, -v * t * t / d);
        }

        return v;
    }

    private static double AgeingOfInsulation(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var e = x[0] * Math.Exp(-b[2] * x[1]);
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (1, -e, b[1] * e * x[1]);
        }

        return b[0] - (b[1] * e);
    }

    private static double ThreeCycles(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var t = 2 * Math.PI * x[0];
        var (s1, c1) = Math.SinCos(t / 12);
        var (s2, c2) = Math.SinCos(t / b[3]);
        var (s3, c3) = Math.SinCos(t / b[6]);
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (1, c1, s1);
            (g[4], g[5], g[3]) = (c2, s2, ((b[4] * s2) - (b[5] * c2)) * t / (b[3] * b[3]));
            (g[7], g[8], g[6]) = (c3, s3, ((b[7] * s3) - (b[8] * c3)) * t / (b[6] * b[6]));
        }

        return b[0] + (b[1] * c1) + (b[2] * s1) + (b[4] * c2) + (b[5] * s2) + (b[7] * c3) + (b[8] * s3);
    }

    private static double ShiftedPower(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = b[1] + x[0];
        var v = Math.Pow(d, -1 / b[2]);
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (v, -b[0] * v / (b[2] * d), b[0] * v * Math.Log(d) / (b[2] * b[2]));
        }

        return b[0] * v;
    }

    private static double ShiftedExponential(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = x[0] + b[2];
        var e = Math.Exp(b[1] / d);
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (e, b[0] * e / d, -b[0] * e * b[1] / (d * d));
        }

        return b[0] * e;
    }

    private static double TwoExponentials(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var (e1, e2) = (Math.Exp(-x[0] * b[3]), Math.Exp(-x[0] * b[4]));
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (1, e1, e2);
            (g[3], g[4]) = (-b[1] * x[0] * e1, -b[2] * x[0] * e2);
        }

        return b[0] + (b[1] * e1) + (b[2] * e2);
    }

    private static double Hyperbola(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = 1 + (b[1] * x[0]);
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (b[1] * x[0] / d, b[0] * x[0] / (d * d));
        }

        return b[0] * b[1] * x[0] / d;
    }

    private static double Logistic(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var e = Math.Exp(b[1] - (b[2] * x[0]));
        var v = 1 / (1 + e);
        if (!g.IsEmpty)
        {
            (g[0], g[1], g[2]) = (v, -b[0] * e * v * v, b[0] * x[0] * e * v * v);
        }

        return b[0] * v;
    }

    private static double Arctangent(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = x[0] - b[3];
        var q = (d * d) + (b[2] * b[2]);
        if (!g.IsEmpty)
        {
            (g[0], g[1]) = (1, -x[0]);
            (g[2], g[3]) = (-d / (Math.PI * q), -b[2] / (Math.PI * q));
        }

        return b[0] - (b[1] * x[0]) - (Math.Atan(b[2] / d) / Math.PI);
    }

    private static double Saturation(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var e = Math.Exp(-b[1] * x[0]);
        if (!g.IsEmpty)
        {
            g[0] = 1 - e;
            g[1] = b[0] * x[0] * e;
        }

        return b[0] * (1 - e);
    }

    private static double Ultrasonic(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var d = b[1] + (b[2] * x[0]);
        var v = Math.Exp(-b[0] * x[0]) / d;
        if (!g.IsEmpty)
        {
            g[0] = -x[0] * v;
            g[1] = -v / d;
            g[2] = -x[0] * v / d;
        }

        return v;
    }

    private static double Power(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var v = Math.Pow(x[0], b[1]);
        if (!g.IsEmpty)
        {
            g[0] = v;
            g[1] = b[0] * v * Math.Log(x[0]);
        }

        return b[0] * v;
    }

    private static double Bell(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var z = (x[0] - b[2]) / b[1];
        var e = Math.Exp(-0.5 * z * z) / b[1];
        if (!g.IsEmpty)
        {
            g[0] = e;
            g[1] = b[0] * e * ((z * z) - 1) / b[1];
            g[2] = b[0] * e * z / b[1];
        }

        return b[0] * e;
    }

    private static double TwoBells(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var decay = Math.Exp(-b[1] * x[0]);
        var (z1, z2) = ((x[0] - b[3]) / b[4], (x[0] - b[6]) / b[7]);
        var (e1, e2) = (Math.Exp(-z1 * z1), Math.Exp(-z2 * z2));
        if (!g.IsEmpty)
        {
            g[0] = decay;
            g[1] = -b[0] * x[0] * decay;
            g[2] = e1;
            g[3] = b[2] * e1 * 2 * z1 / b[4];
            g[4] = b[2] * e1 * 2 * z1 * z1 / b[4];
            g[5] = e2;
            g[6] = b[5] * e2 * 2 * z2 / b[7];
            g[7] = b[5] * e2 * 2 * z2 * z2 / b[7];
        }

        return (b[0] * decay) + (b[2] * e1) + (b[5] * e2);
    }

    private static double ThreeExponentials(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var sum = 0.0;
        for (var k = 0; k < 6; k += 2)
        {
            var e = Math.Exp(-b[k + 1] * x[0]);
            sum += b[k] * e;
            if (!g.IsEmpty)
            {
                g[k] = e;
                g[k + 1] = -b[k] * x[0] * e;
            }
        }

        return sum;
    }

    private static double Rational(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var n = x[0] * (x[0] + b[1]);
        var d = (x[0] * (x[0] + b[2])) + b[3];
        if (!g.IsEmpty)
        {
            g[0] = n / d;
            g[1] = b[0] * x[0] / d;
            g[2] = -b[0] * n * x[0] / (d * d);
            g[3] = -b[0] * n / (d * d);
        }

        return b[0] * n / d;
    }

    private static double Sigmoid(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var e = Math.Exp(b[1] - (b[2] * x[0]));
        var v = Math.Pow(1 + e, -1 / b[3]);
        if (!g.IsEmpty)
        {
            var common = -b[0] * v * e / (b[3] * (1 + e));
            g[0] = v;
            g[1] = common;
            g[2] = -x[0] * common;
            g[3] = b[0] * v * Math.Log(1 + e) / (b[3] * b[3]);
        }

        return b[0] * v;
    }

    private static double CubicRatio(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> g)
    {
        var t = x[0];
        var n = b[0] + (t * (b[1] + (t * (b[2] + (t * b[3])))));
        var d = 1 + (t * (b[4] + (t * (b[5] + (t * b[6])))));
        if (!g.IsEmpty)
        {
            var v = n / d;
            (g[0], g[1], g[2], g[3]) = (1 / d, t / d, t * t / d, t * t * t / d);
            (g[4], g[5], g[6]) = (-v * t / d, -v * t * t / d, -v * t * t * t / d);
        }

        return n / d;
    }
}
