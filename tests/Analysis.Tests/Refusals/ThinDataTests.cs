using LoadTest.Analysis.Ac;
using LoadTest.Analysis.DcQuality;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Leads;
using LoadTest.Analysis.MachineAccuracy;
using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Numbers that are good one by one and too few, all alike or absurdly weighted together.</summary>
public sealed class ThinDataTests
{
    private static readonly double[] s_alike = [5, 5, 5, 5, 5, 5];
    private static readonly double[] s_rising = [1, 2, 3, 4, 5, 6];
    private static readonly double[] s_bent = [2, 4, 5, 9, 10, 13];
    private static readonly double[] s_absurd = [1, 1, 1e-13, 1, 1, 1];

    // Too few: the most readings that still say nothing. Alike: no spread where there has to be one. Absurd: weights no double holds.
    private static readonly Dictionary<string, Action> s_refused = new(StringComparer.Ordinal)
    {
        ["line: two points and their scatter"] = () => LineFit.Fit([1, 2], [2, 4]),
        ["line: one point of known variance"] = () => LineFit.Fit([1], [2], [1], VarianceBasis.Known),
        ["line: equal abscissae"] = () => LineFit.Fit(s_alike, s_rising),
        ["line: absurd weights"] = () => LineFit.Fit(s_rising, s_bent, s_absurd),
        ["line: shares of no point"] = () => LineFit.Leverages([]),
        ["line: shares of absurd weights"] = () => LineFit.Leverages(s_rising, s_absurd),
        ["plane: as many points as columns"] = () => LinearFit.Fit([1, 1, 1, 2], 2, [1, 2]),
        ["plane: columns alike"] = () => LinearFit.Fit([1, 1, 1, 1, 1, 1, 1, 1], 2, [1, 2, 3, 4]),
        ["plane: absurd weights"] = () => LinearFit.Fit(s_rising, 1, s_bent, s_absurd),
        ["polynomial: too few points"] = () => PolynomialFit.Fit([1, 2, 3], [1, 4, 9], 2),
        ["polynomial: equal abscissae"] = () => PolynomialFit.Fit(s_alike, s_rising, 2),
        ["polynomial: two abscissae for a parabola"] = () => PolynomialFit.Fit([1, 1, 1, 2, 2, 2], s_rising, 2),
        ["polynomial: absurd weights"] = () => PolynomialFit.Fit(s_rising, s_bent, 2, s_absurd),
        ["both axes: one point"] = () => YorkFit.Fit([1], [1], [2], [1], []),
        ["both axes: equal abscissae"] = () => YorkFit.Fit(s_alike, Ones(6), s_rising, Ones(6), []),
        ["both axes: absurd uncertainties"] = () => YorkFit.Fit(s_rising, s_absurd, s_bent, Ones(6), []),
        ["constant ratio: two points"] = () => DemingFit.Fit([1, 2], [2, 4], 1),
        ["constant ratio: equal abscissae"] = () => DemingFit.Fit(s_alike, s_rising, 1),
        ["constant ratio: slope of two points"] = () => DemingFit.Slope([1, 2], [2, 4], 1),
        ["constant ratio: slope of level points"] = () => DemingFit.Slope(s_rising, s_alike, 1),
        ["median of slopes: one point"] = () => TheilSenFit.Fit([1], [2]),
        ["median of slopes: equal abscissae"] = () => TheilSenFit.Fit(s_alike, s_rising),
        ["robust line: two points"] = () => RobustFit.Line([1, 2], [2, 4], RobustLoss.Huber),
        ["robust line: equal abscissae"] = () => RobustFit.Line(s_alike, s_rising, RobustLoss.Bisquare),
        ["nonlinear: as many points as parameters"] = () => NonlinearFit.Fit(Decay, [0, 1], [3, 2], [3, 0.5]),
        ["nonlinear: absurd weights"] = () =>
            NonlinearFit.Fit(Decay, s_rising, s_bent, [3, 0.5], new NonlinearOptions { Weights = s_absurd }),
        ["volt-amp: one point"] = () => VoltAmpAnalysis.Fit([new(100, 50)]),
        ["volt-amp: equal currents"] = () => VoltAmpAnalysis.Fit([new(100, 50), new(100, 51), new(100, 52)]),
        ["volt-amp: absurd uncertainties"] = () =>
            VoltAmpAnalysis.Fit([new(0, 60, 0.1, 1e-9), new(100, 55, 0.1, 0.1), new(200, 50, 0.1, 0.1)]),
        ["volt-amp: a knee of three points"] = () =>
            VoltAmpAnalysis.Fit(
                [new(0, 60), new(100, 55), new(200, 20)],
                new VoltAmpOptions { Model = VoltAmpModel.SharpKnee }
            ),
        ["average: no reading"] = () => Averaging.Mean([]),
        ["autocorrelation: one reading"] = () => Averaging.Autocorrelation([1], 1),
        ["moments: no reading"] = () => SampleMoments.Of([]),
        ["flags: no reading"] = () => Outliers.Hampel([]),
        ["Grubbs: two readings"] = () => Grubbs.Test([1, 2]),
        ["interleaved: two readings of the unit"] = () =>
            Interleaving.Ratio([new(0, 1), new(2, 1), new(4, 1)], [new(1, 1), new(3, 1)]),
        ["interleaved: no reference after"] = () =>
            Interleaving.Ratio([new(0, 1), new(2, 1)], [new(0.5, 1), new(1, 1), new(3, 1)]),
        ["budget line: one reading"] = () => UncertaintyInput.FromReadings("a", [1]),
        ["budget: coverage of less than one degree of freedom"] = () => Coverage.Factor(0.95, 0.9),
        ["variance between groups: one group"] = () => OneWayAnova.Of([s_rising]),
        ["variance between groups: one reading each"] = () =>
            OneWayAnova.Of([
                [1],
                [2],
                [3],
            ]),
        ["shunt: two points"] = () => Sweep(100, 400),
        ["shunt: equal currents"] = () => Sweep(200, 200, 200, 200),
        ["shunt: no current"] = () => Sweep(0, 200, 400),
        ["lead: no current"] = () => LeadResistance.Of(new(32, 0.01), new(31, 0.01), new(0, 0.1)),
        ["lead: current within its uncertainty"] = () => LeadResistance.Of(new(32, 0.01), new(31, 0.01), new(1, 0.5)),
        ["lead drift: three readings"] = () => LeadDrift.Of([0, 1, 2], [1e-3, 1e-3, 1e-3], 10),
        ["lead drift: all at one moment"] = () => LeadDrift.Of([1, 1, 1, 1], [1e-3, 2e-3, 1e-3, 1e-3], 10),
        ["control: no point"] = () => ControlSweep.Of([], "A"),
        ["control: one mark"] = () =>
            ControlSweep.Of([new(5, new(100, 1), 1), new(5, new(101, 1), 1), new(5, new(99, 1), 1)], "A"),
        ["machine: no point"] = () =>
            AccuracyStatement.Of([], 400, "standard", AccuracyGrades.FromMemory(), DecisionRule.GuardBandU),
        ["wave: fewer samples than a cycle"] = () => HarmonicDistortion.Of(Wave(8), 1000, 50, 5),
        ["wave: no samples"] = () => SineFit.FourParameters([], 1000),
        ["wave: no fundamental"] = () => HarmonicDistortion.Of(new double[100], 1000, 50, 5),
        ["wave: no crossing"] = () => ZeroCrossings.Of(Ones(100), 1000),
        ["wave: order at half the rate"] = () => HarmonicFit.Of(Wave(100), 1000, 50, 10),
        ["effective value: one cycle"] = () => RootMeanSquare.Of(Wave(25), 1000, 50),
        ["ripple: no mean"] = () => Ripple.FromMeters(new(0.01, 0.1), new(3, 0.1)),
        ["ripple: no samples"] = () => Ripple.Of([], 1000, null, new SamplerAccuracy(0, 0)),
        ["spectrum: no samples"] = () => Spectrum.Of([], 1000),
        ["bridge: no mean"] = () => BridgeJudgement.Of(new double[100], 1000, 50),
        ["step: nothing before it"] = () => StepResponse.Of(s_rising, s_bent, 0.5, 120, 0.02, StepReference.Rated, 0.1),
        ["unbalance: no volts"] = () => Unbalance.NegativeSequence(new(0, 0.1), new(0, 0.1), new(0, 0.1)),
        ["unbalance: no triangle"] = () => Unbalance.NegativeSequence(new(480, 1), new(100, 1), new(100, 1)),
        ["cooling: a target of the air"] = () => Cooling.Wait(new(80, 1), new(20, 1), new(600, 10), 20),
        ["duty: no nameplate"] = () => PermissibleDuty.At([], new(100)),
        ["moments: one reading"] = () => SampleMoments.Of([5]),
        ["warm-up: three readings"] = () => WarmUp.Of([0, 60, 120], [20, 30, 35]),
        ["global risk: items all alike"] = () => GlobalRisk.Of(new(100, 0), 0.1, ToleranceLimit.PlusMinus(100, 2), 0),
        ["global risk: nothing left to accept"] = () =>
            GlobalRisk.Of(new(100, 1), 0.1, ToleranceLimit.PlusMinus(100, 2), 3),
    };

    // Where an answer in words is the rule: nothing of it may be a number.
    private static readonly Dictionary<string, Func<bool>> s_unsaid = new(StringComparer.Ordinal)
    {
        ["average: one reading has no uncertainty"] = () => Averaging.Mean([5]).Estimate is null,
        ["moments: alike readings have no autocorrelation"] = () =>
            SampleMoments.Of(s_alike).LagOneAutocorrelation is null,
        ["flags: alike readings flag nothing"] = () =>
            Outliers.HampelCount(s_alike) == 0 && !Grubbs.Test(s_alike).IsOutlier,
        ["settling: no reading"] = () => new SettlingRule(0.003, 0, 4).Assess([], []).State == SettlingState.TooShort,
        ["settling: two readings"] = () =>
            new SettlingRule(0.003, 0, 4).Assess([0, 5], [1, 1]).State == SettlingState.TooShort,
        ["line: two known points have no chance of scatter"] = () =>
            LineFit.Fit([1, 2], [2, 4], [1, 1], VarianceBasis.Known).ChanceOfScatter is null,
        ["lack of fit: no repeats"] = () => LackOfFit.Of(s_rising, [0.1, -0.1, 0.2, -0.2, 0.1, -0.1], 2) is null,
        ["lack of fit: repeats all alike"] = () => LackOfFit.Of([1, 1, 2, 2, 3, 3], [1, 1, 2, 2, -3, -3], 2) is null,
        ["nonlinear: data that do not tell the parameters apart"] = () =>
            NonlinearFit.Fit(Decay, [0, 0, 0, 0], [3, 3.1, 2.9, 3], [3, 0.5])
                is { CannotSay: not null, Parameters: null },
        ["groups: alike groups add nothing"] = () =>
            OneWayAnova
                .Of([
                    [1, 2, 3],
                    [1, 2, 3],
                ])
                .ToInput("day")
                is null,
        ["equilibrium: a window too short"] = () =>
            ThermalEquilibrium.Of([0, 1, 2, 3, 4], [60, 60, 60, 60, 60], 1, TimeSpan.FromMinutes(30))
                is { Verdict: Verdict.Undecided, KelvinPerHour: null },
        ["warm-up: a level run"] = () =>
            WarmUp.Of([0, 60, 120, 180, 240, 300], [20, 20, 20, 20, 20, 20]) is WarmUpUnknown,
        ["warm-up of a shunt: a level run"] = () =>
            ShuntWarmUp.Fit([0, 60, 120, 180, 240, 300], [0.1, 0.1, 0.1, 0.1, 0.1, 0.1])
                is { TimeConstantSeconds: null },
        ["volt-amp: no uncertainty from a curve through every point"] = () =>
            VoltAmpAnalysis
                .Fit(
                    [new(0, 60), new(100, 55), new(200, 20)],
                    new VoltAmpOptions { Model = VoltAmpModel.Interpolation }
                )
                .Results.All(r => r.StandardUncertainty is null),
        ["volt-amp: points without scatter are said to say nothing of the meters"] = () =>
            VoltAmpAnalysis
                .Fit([new(0, 60), new(100, 55), new(200, 50), new(300, 45)])
                .Findings.Any(f => f.Contains("last digit", StringComparison.Ordinal)),
        ["volt-amp: two points and their scatter"] = () =>
            VoltAmpAnalysis.Fit([new(0, 60), new(100, 55)]).Results.All(r => r.StandardUncertainty is null),
        ["ratio of uncertainties: one limit has none"] = () =>
            Conformity.TestUncertaintyRatio(ToleranceLimit.AtMost(1), 0.1) is null,
        ["overall: nothing judged is no pass"] = () => Overall.Of([]).Verdict != OverallVerdict.Pass,
        ["load: a duty that is never permitted"] = () =>
            DutyCycle.WaitFor([], TimeSpan.Zero, TimeSpan.FromMinutes(9), 0.5, TimeSpan.FromMinutes(10)) is null,
    };

    public static TheoryData<string> Refused => [.. s_refused.Keys];

    public static TheoryData<string> Unsaid => [.. s_unsaid.Keys];

    [Theory]
    [MemberData(nameof(Refused))]
    public void Too_little_to_compute_with_is_refused_in_words(string what)
    {
        // Arithmetic's own refusals are for data that are numbers and yet say nothing: a mean of nothing, a wave of nothing.
        var refused = Record.Exception(s_refused[what]);
        Assert.True(refused is ArgumentException or ArithmeticException, refused?.ToString() ?? "taken");
        Assert.True(refused!.Message.Length >= 40, refused.Message);
    }

    [Theory]
    [MemberData(nameof(Unsaid))]
    public void What_cannot_be_said_is_no_number(string what) => Assert.True(s_unsaid[what]());

    private static double Decay(ReadOnlySpan<double> x, ReadOnlySpan<double> b, Span<double> gradient)
    {
        var e = Math.Exp(-b[1] * x[0]);
        if (!gradient.IsEmpty)
        {
            (gradient[0], gradient[1]) = (e, -b[0] * x[0] * e);
        }

        return b[0] * e;
    }

    private static void Sweep(params double[] amperes) =>
        new ShuntSweep
        {
            Rating = new ShuntRating(500, 50),
            Points = [.. amperes.Select((i, k) => new ShuntPoint(i, (0.1 * i) + (0.001 * (k % 2))))],
        }.Analyse();

    private static double[] Ones(int count) => [.. Enumerable.Repeat(1.0, count)];

    private static double[] Wave(int count) =>
        [.. Enumerable.Range(0, count).Select(k => 170 * Math.Sin((2 * Math.PI * 50 * k / 1000.0) + 0.3))];
}
