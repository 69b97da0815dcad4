using System.Text.RegularExpressions;
using CsCheck;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed partial class CurveWordsTests
{
    [Fact]
    public void No_sentence_of_a_curve_has_raw_digits_or_exponents() =>
        // Readings as meters give them, full of digits, with and without stated uncertainties and with a few far off.
        Gen.Select(Gen.Double[20, 90], Gen.Double[2, 900], Gen.Double[0.1, 30], Gen.Bool, Gen.Int[1, 1_000_000])
            .Sample(
                (open, most, far, known, seed) =>
                {
                    var random = new Random(seed);
                    var points = Enumerable
                        .Range(0, 9)
                        .Select(k => new VoltAmpPoint(
                            (most * k / 8.0) + (1e-4 * random.NextDouble()),
                            open
                                * (
                                    1
                                    - (0.3 * k / 8.0)
                                    - (k > 5 ? 0.2 * (k - 5) : 0)
                                    + ((k == 3 ? far : 1) * 1e-3 * random.NextDouble())
                                ),
                            known ? 1e-3 * most : null,
                            known ? 1e-3 * open : null
                        ))
                        .ToArray();
                    var curve = VoltAmpAnalysis.Fit(
                        points,
                        new VoltAmpOptions { LoadLines = [LoadLine.Given("out of reach", 2 * open, 0)] }
                    );
                    foreach (
                        var sentence in (string[])
                            [curve.Reason, curve.ModelName, .. curve.Findings, .. curve.Results.Select(r => r.Note)]
                    )
                    {
                        Assert.False(Raw().IsMatch(sentence), sentence);
                    }
                },
                seed: "0000KMvBpnk3",
                iter: 400,
                threads: 1
            );

    // More than five digits behind the point, or an exponent.
    [GeneratedRegex(@"\d\.\d{6,}|\d(\.\d+)?E[+-]?\d", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Raw();
}
