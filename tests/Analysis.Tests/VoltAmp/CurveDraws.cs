using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

/// <summary>Seeded curves with one wild reading, and how many of them end in another shape than the one they were drawn from.</summary>
public static class CurveDraws
{
    /// <summary>How the curves of one kind ended.</summary>
    /// <param name="Kind">What was drawn.</param>
    /// <param name="Right">Ended in the shape they were drawn from.</param>
    /// <param name="NoShape">Ended with no shape at all, read between the readings.</param>
    /// <param name="Other">Ended in another shape.</param>
    public sealed record Tally(string Kind, int Right, int NoShape, int Other);

    /// <summary>All kinds, so many curves of each.</summary>
    public static IEnumerable<Tally> All(int many)
    {
        yield return Lines(many);
        foreach (var points in (int[])[6, 7, 8])
        {
            yield return Stated(many, $"{points} points of a line, stated u, one reading wild", points, isKnee: false);
        }

        foreach (var points in (int[])[7, 8, 9])
        {
            yield return Stated(many, $"{points} points of a knee, stated u, one reading wild", points, isKnee: true);
        }
    }

    /// <summary>Five points of 70 V − 5 V/100 A without stated uncertainties, 0.05 V of noise, written to 0.1 V, one wrong by 2 V.</summary>
    private static Tally Lines(int many)
    {
        double[] amperes = [0, 50, 100, 200, 300];
        var random = new Random(20_261_201);
        return Count(
            many,
            "5 points of a line, no u, one 2 V mistake",
            () =>
            {
                var wrong = random.Next(amperes.Length);
                var sign = random.Next(2) == 0 ? 2 : -2;
                return
                [
                    .. amperes.Select(
                        (i, k) =>
                            new VoltAmpPoint(
                                i,
                                Math.Round(70 - (0.05 * i) + (0.05 * Gauss(random)) + (k == wrong ? sign : 0), 1)
                            )
                    ),
                ];
            },
            m => m == VoltAmpModel.StraightLine,
            new VoltAmpOptions { VoltsDigit = 0.1, AmperesDigit = 1 }
        );
    }

    // u 0.05 V and 0.1 A, one reading between the ends wrong by 10 to 60 times that in volts.
    private static Tally Stated(int many, string kind, int points, bool isKnee)
    {
        var random = new Random(20_261_201 + points + (isKnee ? 100 : 0));
        return Count(
            many,
            kind,
            () =>
            {
                var wrong = 1 + random.Next(points - 2);
                var size = (10 + (50 * random.NextDouble())) * (random.Next(2) == 0 ? 1 : -1);
                return
                [
                    .. Enumerable
                        .Range(0, points)
                        .Select(k =>
                        {
                            var (amperes, volts) = isKnee ? Knee(k, points) : (300.0 * k / (points - 1), 0.0);
                            volts = isKnee ? volts : 70 - (0.05 * amperes);
                            return new VoltAmpPoint(
                                amperes + (0.1 * Gauss(random)),
                                volts + (0.05 * (Gauss(random) + (k == wrong ? size : 0))),
                                0.1,
                                0.05
                            );
                        }),
                ];
            },
            m => isKnee ? m is VoltAmpModel.SharpKnee or VoltAmpModel.RoundedKnee : m == VoltAmpModel.StraightLine,
            new VoltAmpOptions()
        );
    }

    // 70 V − 5 V/100 A up to 200 A, then 0.02 A more for each volt less; the last three points beyond the knee.
    private static (double Amperes, double Volts) Knee(int k, int points)
    {
        var before = points - 3;
        if (k < before)
        {
            var amperes = 190.0 * k / (before - 1);
            return (amperes, 70 - (0.05 * amperes));
        }

        var volts = 45 - (15.0 * (k - before));
        return (200 + (0.02 * (60 - volts)), volts);
    }

    private static Tally Count(
        int many,
        string kind,
        Func<VoltAmpPoint[]> draw,
        Func<VoltAmpModel, bool> isRight,
        VoltAmpOptions options
    )
    {
        var (right, none) = (0, 0);
        for (var k = 0; k < many; k++)
        {
            var model = VoltAmpAnalysis.Fit(draw(), options).Model;
            right += isRight(model) ? 1 : 0;
            none += model == VoltAmpModel.Interpolation ? 1 : 0;
        }

        return new Tally(kind, right, none, many - right - none);
    }

    private static double Gauss(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
