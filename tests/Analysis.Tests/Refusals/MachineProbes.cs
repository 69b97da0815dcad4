using LoadTest.Analysis.Ac;
using LoadTest.Analysis.DcQuality;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Leads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>AC, DC quality, heat, duty and leads.</summary>
internal static class MachineProbes
{
    private const double Rate = 1000;
    private static readonly TimeSpan s_cycle = TimeSpan.FromMinutes(10);

    public static IEnumerable<Probe> All() => [.. Alternating(), .. Waves(), .. Direct(), .. Warm(), .. Leads()];

    private static IEnumerable<Probe> Alternating() =>
        [
            new("ClassLimit.Judge", p => Limit(p).Judge(p.E(0.01, 0.001), p.N(2)), r => r is Verdict.Undecided),
            new(
                "ClassLimits.JudgeAll",
                p =>
                    ClassLimits
                        .FromMemory()
                        .JudgeAll(ClassLimits.FromMemory().Limits[0].Quantity, p.E(0.01, 0.001), p.N(2))
            ),
            new(
                "Derating.FactorAt",
                p =>
                    new Derating(p.X(1000), p.N(0.035), p.P(300), p.X(40), p.N(0.02), p.P(5.5)).FactorAt(
                        p.X(1600),
                        p.E(45.5, 0.5)
                    )
            ),
            new("Governor.Droop", p => Governor.Droop(p.PositiveE(61.5, 0.01), p.PositiveE(58.5, 0.01), p.P(60))),
            new("Governor.RevolutionsPerMinute", p => Governor.RevolutionsPerMinute(p.PositiveE(60, 0.01), 4)),
            new("Governor.Hertz", p => Governor.Hertz(p.PositiveE(1800, 1), 4)),
            new(
                "Unbalance.LargestDeviation",
                p => Unbalance.LargestDeviation(p.PositiveE(480, 1), p.PositiveE(476, 1), p.PositiveE(472, 1))
            ),
            new(
                "Unbalance.NegativeSequence",
                p => Unbalance.NegativeSequence(p.PositiveE(480, 1), p.PositiveE(476, 1), p.PositiveE(472, 1))
            ),
            new(
                "VoltageRegulation.NoLoadToFullLoad",
                p => VoltageRegulation.NoLoadToFullLoad(p.E(129, 0.1), p.PositiveE(115, 0.1), p.R(0.5))
            ),
            new(
                "VoltageRegulation.SteadyStateBand",
                p => VoltageRegulation.SteadyStateBand([p.E(129, 0.1), p.E(115, 0.1)], p.P(120), p.R(0.5))
            ),
            new(
                "VoltageRegulation.LargestFromRated",
                p => VoltageRegulation.LargestFromRated([p.E(129, 0.1), p.E(115, 0.1)], p.P(120))
            ),
            new(
                "StepResponse.Of",
                p =>
                    StepResponse.Of(
                        p.Xs([.. Enumerable.Range(0, 20).Select(k => 0.1 * k)]),
                        p.Xs([.. Enumerable.Range(0, 20).Select(k => k < 10 ? 120.0 : 120 - (20 * Math.Exp(10 - k)))]),
                        p.X(0.95),
                        p.P(120),
                        p.P(0.02),
                        StepReference.Rated,
                        p.N(0.1)
                    )
            ),
        ];

    private static IEnumerable<Probe> Waves() =>
        [
            new("CycleSeries.Of", p => CycleSeries.Of(p.Xs(Wave()), p.P(Rate))),
            new("HarmonicDistortion.Of", p => HarmonicDistortion.Of(p.Xs(Wave()), p.P(Rate), p.P(50), 5)),
            new("HarmonicFit.Of", p => HarmonicFit.Of(p.Xs(Wave()), p.P(Rate), p.P(50), 5)),
            new("RootMeanSquare.Of", p => RootMeanSquare.Of(p.Xs(Wave()), p.P(Rate), p.P(50), p.N(0.001))),
            new("SineFit.ThreeParameters", p => SineFit.ThreeParameters(p.Xs(Wave()), p.P(Rate), p.P(50))),
            new("SineFit.FourParameters", p => SineFit.FourParameters(p.Xs(Wave()), p.P(Rate), p.P(50))),
            new("ZeroCrossings.Of", p => ZeroCrossings.Of(p.Xs(Wave()), p.P(Rate), p.N(1e-5))),
        ];

    private static IEnumerable<Probe> Direct() =>
        [
            new("BridgeJudgement.Of", p => BridgeJudgement.Of(p.Xs(Rectified()), p.P(Rate), p.P(50), p.E(80, 1))),
            new(
                "Rectifier.SixPulse",
                p => Rectifier.SixPulse(p.PositiveE(60, 0.1), p.E(0.8, 0.1), p.E(0.001, 1e-4), p.E(300, 1))
            ),
            new("Rectifier.SmoothedLightLoad", p => Rectifier.SmoothedLightLoad(p.PositiveE(60, 0.1), p.E(0.8, 0.1))),
            new("Rectifier.TwoPulse", p => Rectifier.TwoPulse(p.PositiveE(60, 0.1), p.E(0.8, 0.1))),
            new(
                "Ripple.Of",
                p => Ripple.Of(p.Xs(Rectified()), p.P(Rate), p.P(50), new SamplerAccuracy(p.N(0.001), p.N(0.01)))
            ),
            new("Ripple.FromMeters", p => Ripple.FromMeters(p.E(80, 0.1), p.E(3, 0.1))),
            new("Spectrum.Of", p => Spectrum.Of(p.Xs(Rectified()), p.P(Rate))),
        ];

    private static IEnumerable<Probe> Warm() =>
        [
            new("Cooling.Wait", p => Cooling.Wait(p.E(80, 1), p.E(20, 1), p.PositiveE(600, 10), p.X(40))),
            new("DutyCycle.MayStand", p => DutyCycle.MayStand([], TimeSpan.Zero, p.P(0.6), s_cycle)),
            new(
                "DutyCycle.WaitFor",
                p => DutyCycle.WaitFor([], TimeSpan.Zero, TimeSpan.FromMinutes(6), p.P(0.6), s_cycle)
            ),
            new(
                "PermissibleDuty.At",
                p => PermissibleDuty.At([new(new Amperes(p.P(300)), p.P(0.6))], new Amperes(p.P(250)))
            ),
            new(
                "ThermalEquilibrium.Of",
                p =>
                    ThermalEquilibrium.Of(
                        p.Xs(0, 600, 1200, 1800, 2400),
                        p.Xs(60, 60.1, 60.0, 60.1, 60.1),
                        p.P(1),
                        TimeSpan.FromMinutes(30)
                    )
            ),
            new(
                "WarmUp.Of",
                p => WarmUp.Of(p.Xs(0, 300, 600, 900, 1200, 1500, 1800), p.Xs(20, 39.3, 51, 58.2, 62.5, 65.1, 66.7)),
                r => r is WarmUpUnknown
            ),
            new(
                "WarmUp.FinalBy",
                p =>
                    (
                        (WarmUpFound)
                            WarmUp.Of([0, 300, 600, 900, 1200, 1500, 1800], [20, 39.3, 51, 58.2, 62.5, 65.1, 66.7])
                    ).Curve.FinalBy(p.N(0.4))
            ),
        ];

    private static IEnumerable<Probe> Leads() =>
        [
            new("LeadDrift.Of", p => LeadDrift.Of(p.Xs(0, 60, 120, 180), p.Xs(2e-3, 2.01e-3, 2e-3, 2.02e-3), p.N(30))),
            new("LeadResistance.Of", p => LeadResistance.Of(p.E(32, 0.02), p.E(31.4, 0.02), p.E(300, 0.3), p.R(0.5))),
            new("LeadResistance.Heat", p => LeadResistance.Heat(p.E(0.002, 1e-5), new Amperes(p.X(300)))),
        ];

    private static ClassLimit Limit(Poison p) => new("droop", "G2", p.Open(0), p.Open(0.05), "ratio", "invented");

    private static double[] Wave() =>
        [.. Enumerable.Range(0, 80).Select(k => 170 * Math.Sin((2 * Math.PI * 50 * k / Rate) + 0.3))];

    private static double[] Rectified() =>
        [.. Enumerable.Range(0, 80).Select(k => 80 + (3 * Math.Sin(2 * Math.PI * 300 * k / Rate)))];
}
