using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Distributions, fits, curves and averages.</summary>
internal static class FitProbes
{
    private static readonly VoltAmpCurve s_curve = VoltAmpAnalysis.Fit([
        new(0, 60, 0.1, 0.05),
        new(100, 55, 0.1, 0.05),
        new(200, 50, 0.1, 0.05),
        new(300, 45, 0.1, 0.05),
    ]);

    public static IEnumerable<Probe> All() => [.. Numbers(), .. Fits(), .. Averages(), .. Curves()];

    private static IEnumerable<Probe> Numbers() =>
        [
            new("Normal.Cdf", p => Normal.Cdf(p.Open(1))),
            new("Normal.UpperTail", p => Normal.UpperTail(p.Open(1))),
            new("Normal.Density", p => Normal.Density(p.Open(1))),
            new("Normal.Quantile", p => Normal.Quantile(p.Q(0.9))),
            new("Normal.UpperQuantile", p => Normal.UpperQuantile(p.Q(0.9))),
            new("StudentT.Cdf", p => StudentT.Cdf(p.Open(1), p.Nu(5))),
            new("StudentT.UpperTail", p => StudentT.UpperTail(p.Open(1), p.Nu(5))),
            new("StudentT.Density", p => StudentT.Density(p.Open(1), p.Nu(5))),
            new("StudentT.Quantile", p => StudentT.Quantile(p.Q(0.9), p.Nu(5))),
            new("StudentT.TwoSided", p => StudentT.TwoSided(p.Q(0.9), p.Nu(5))),
            new("StudentT.UpperQuantile", p => StudentT.UpperQuantile(p.Q(0.1), p.Nu(5))),
            new("ChiSquared.Cdf", p => ChiSquared.Cdf(p.Open(1), p.Nu(5))),
            new("ChiSquared.UpperTail", p => ChiSquared.UpperTail(p.Open(1), p.Nu(5))),
            new("ChiSquared.Quantile", p => ChiSquared.Quantile(p.Q(0.9), p.Nu(5))),
            new("FisherF.Cdf", p => FisherF.Cdf(p.Open(1), p.Nu(5), p.Nu(6))),
            new("FisherF.UpperTail", p => FisherF.UpperTail(p.Open(1), p.Nu(5), p.Nu(6))),
            new("FisherF.Quantile", p => FisherF.Quantile(p.Q(0.9), p.Nu(5), p.Nu(6))),
            new("SampleMoments.Of", p => SampleMoments.Of(p.Xs(1, 2, 4))),
        ];

    private static IEnumerable<Probe> Fits() =>
        [
            new("LineFit.Fit", p => LineFit.Fit(p.Xs(1, 2, 3, 5), p.Xs(2, 4, 5, 9), p.Ps(1, 2, 1, 1))),
            new("LineFit.Predict", p => Line().Predict(p.X(2))),
            new("LineFit.ConfidenceBand", p => Line().ConfidenceBand(p.X(2), p.Q(0.95))),
            new("LineFit.PredictionBand", p => Line().PredictionBand(p.X(2), p.Q(0.95), p.P(1))),
            new("LineFit.Inverse", p => Line().Inverse(p.E(5, 0.1))),
            new("LineFit.Leverages", p => LineFit.Leverages(p.Xs(1, 2, 3, 5), p.Ps(1, 1, 1, 1))),
            new("LinearFit.Fit", p => Plane(p)),
            new("LinearFit.Predict", p => Plane(null).Predict(p.Xs(1, 2))),
            new("LinearFit.Leverage", p => Plane(null).Leverage(p.Xs(1, 2))),
            new("PolynomialFit.Fit", p => Parabola(p)),
            new("PolynomialFit.Predict", p => Parabola(null).Predict(p.X(2))),
            new("YorkFit.Fit", p => York(p)),
            new("YorkFit.Predict", p => York(null).Predict(p.X(2))),
            new("DemingFit.Fit", p => DemingFit.Fit(p.Xs(1, 2, 3, 5), p.Xs(2, 4, 5, 9), p.P(1))),
            new("DemingFit.Slope", p => DemingFit.Slope(p.Xs(1, 2, 3, 5), p.Xs(2, 4, 5, 9), p.P(1))),
            new("TheilSenFit.Fit", p => TheilSenFit.Fit(p.Xs(1, 2, 3, 5, 6, 7), p.Xs(2, 4, 5, 9, 11, 12), p.Q(0.9))),
            new("RobustFit.Line", p => RobustFit.Line(p.Xs(1, 2, 3, 5, 6), p.Xs(2, 4, 5, 9, 30), RobustLoss.Huber)),
            new(
                "RobustFit.Fit",
                p => RobustFit.Fit(p.Xs(1, 1, 1, 1, 1, 1, 2, 3, 5, 6), 2, p.Xs(2, 4, 5, 9, 30), RobustLoss.Bisquare)
            ),
            new("LackOfFit.Of", p => LackOfFit.Of(p.Xs(1, 1, 2, 2, 3, 3), p.Xs(0.1, -0.1, 0.2, 0.1, -0.3, 0), 2)),
            new("NonlinearFit.Fit", p => Decay(p)),
            new("NonlinearFit.Predict", p => Decay(null).Predict(p.X(2))),
            new("Interval.Contains", p => Interval.Around(new(5, 1), 0.95).Contains(p.X(5)), r => r is false),
            new("Interval.Around", p => Interval.Around(p.E(5, 0.1), p.Q(0.95))),
        ];

    private static IEnumerable<Probe> Averages() =>
        [
            new("Averaging.Mean", p => Averaging.Mean(p.Xs(1, 2, 4, 3))),
            new("Averaging.Autocorrelation", p => Averaging.Autocorrelation(p.Xs(1, 2, 4, 3), 1)),
            new("Outliers.HampelCount", p => Outliers.HampelCount(p.Xs(1, 2, 4, 3))),
            new("Outliers.Hampel", p => Outliers.Hampel(p.Xs(1, 2, 4, 3))),
            new("Grubbs.Test", p => Grubbs.Test(p.Xs(1, 2, 4, 3), p.Q(0.05))),
            new("Grubbs.CriticalValue", p => Grubbs.CriticalValue(8, p.Q(0.05))),
            new(
                "Interleaving.Ratio",
                p =>
                    Interleaving.Ratio(
                        [.. new[] { 0, 2, 4, 6 }.Select(t => new TimedReading(p.X(t), p.X(100 + t)))],
                        [.. new[] { 1, 3, 5 }.Select(t => new TimedReading(p.X(t), p.X(50 + t)))]
                    )
            ),
            new(
                "Approach.StillToCome",
                p =>
                    Approach.StillToCome(
                        p.Xs(0, 1, 2, 3, 4, 5, 6, 7, 8),
                        p.Xs(90, 92, 93, 94, 95, 95.5, 96, 96.3, 96.5)
                    )
            ),
            new("SettlingRule.new", p => new SettlingRule(p.N(0.003), p.N(0.1), p.P(4))),
            new("SettlingRule.ToleranceAt", p => Rule().ToleranceAt(p.X(300))),
            new(
                "SettlingRule.Assess",
                p => Rule().Assess(p.Xs(0, 1, 2, 3, 4, 5), p.Xs(300, 300.1, 300, 299.9, 300, 300.1)),
                r => r is SettlingAssessment { State: SettlingState.Missing }
            ),
        ];

    private static IEnumerable<Probe> Curves() =>
        [
            new("VoltAmpAnalysis.Fit", Curve),
            new("VoltAmpAnalysis.Fit", Knee),
            new("VoltAmpCurve.Evaluate", p => s_curve.Evaluate(p.X(100))),
            new("VoltAmpCurve.IsExtrapolated", p => s_curve.IsExtrapolated(p.X(100))),
            new("VoltAmpCurve.ConfidenceBand", p => s_curve.ConfidenceBand(p.X(100))),
            new("VoltAmpCurve.PredictionBand", p => s_curve.PredictionBand(p.X(100))),
            new("LoadLine.Given", p => LoadLine.Given("own", p.X(20), p.N(0.04), p.Nu(600))),
            new("LoadLine.ThroughRatedPoint", p => LoadLine.ThroughRatedPoint(p.P(300), p.P(32))),
            new("LoadLine.Volts", p => LoadLine.Tig.Volts(p.X(100))),
        ];

    private static LineFit Line() => LineFit.Fit([1, 2, 3, 5], [2, 4, 5, 9]);

    private static LinearFit Plane(Poison? p) =>
        LinearFit.Fit(
            Xs(p, 1, 1, 1, 1, 1, 1, 2, 3, 5, 4),
            2,
            Xs(p, 2, 4, 5, 9, 8),
            p?.Ps(1, 1, 1, 1, 1) ?? [],
            VarianceBasis.FromScatter
        );

    private static PolynomialFit Parabola(Poison? p) =>
        PolynomialFit.Fit(Xs(p, 1, 2, 3, 5, 6), Xs(p, 2, 4, 5, 9, 13), 2, p?.Ps(1, 1, 1, 1, 1) ?? []);

    private static YorkFit York(Poison? p) =>
        YorkFit.Fit(
            Xs(p, 1, 2, 3, 5),
            p?.Ps(0.1, 0.1, 0.1, 0.1) ?? [0.1, 0.1, 0.1, 0.1],
            Xs(p, 2, 4, 5, 9),
            p?.Ps(0.1, 0.1, 0.1, 0.1) ?? [0.1, 0.1, 0.1, 0.1],
            p is null ? [] : [p.R(0.1), p.R(0.2), p.R(0), p.R(0)]
        );

    private static NonlinearFit Decay(Poison? p) =>
        NonlinearFit.Fit(
            (x, b, gradient) =>
            {
                var e = Math.Exp(-b[1] * x[0]);
                if (!gradient.IsEmpty)
                {
                    (gradient[0], gradient[1]) = (e, -b[0] * x[0] * e);
                }

                return b[0] * e;
            },
            Xs(p, 0, 1, 2, 3),
            Xs(p, 10, 6.1, 3.6, 2.3),
            Xs(p, 9, 0.6),
            new NonlinearOptions
            {
                Weights = p?.Ps(1, 1, 1, 1),
                Lower = p is null ? null : [p.Open(-100), p.Open(-100)],
                Upper = p is null ? null : [p.Open(100), p.Open(100)],
            }
        );

    private static object Curve(Poison p) =>
        VoltAmpAnalysis.Fit(
            [
                .. new[] { 0, 100, 200, 300 }.Select(i => new VoltAmpPoint(
                    p.X(i),
                    p.X(60 - (0.05 * i)),
                    p.N(0.1),
                    p.P(0.05)
                )),
            ],
            new VoltAmpOptions
            {
                Coverage = p.Q(0.95),
                RatedAmperes = p.P(300),
                CommonVoltsGain = p.N(0.001),
                CommonAmperesGain = p.N(0.001),
            }
        );

    private static object Knee(Poison p) =>
        VoltAmpAnalysis.Fit(
            [
                .. new[] { 0, 50, 100, 150, 200, 250, 300 }.Select(i => new VoltAmpPoint(
                    p.X(i),
                    p.X(60 - (0.03 * i) - (0.5 * Math.Max(0, i - 180)))
                )),
            ],
            new VoltAmpOptions { Model = VoltAmpModel.SharpKnee, Start = p.Xs(60, 0.03, 0.5, 180) }
        );

    private static SettlingRule Rule() => new(0.003, 0.1, 5);

    private static double[] Xs(Poison? p, params double[] good) => p?.Xs(good) ?? good;
}
