using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.MachineAccuracy;
using LoadTest.Analysis.Settling;
using LoadTest.Analysis.Shunts;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Budgets, meters, decisions, shunts and the machine's own accuracy.</summary>
internal static class MeasurementProbes
{
    private static readonly ToleranceLimit s_limit = ToleranceLimit.PlusMinus(100, 2, "A");

    public static IEnumerable<Probe> All() => [.. Budgets(), .. Meters(), .. Decisions(), .. Shunts(), .. Accuracy()];

    private static IEnumerable<Probe> Budgets() =>
        [
            new("UncertaintyInput.FromStandard", p => UncertaintyInput.FromStandard("a", p.X(1), p.N(0.1), p.Nu(9))),
            new(
                "UncertaintyInput.FromExpanded",
                p => UncertaintyInput.FromExpanded("a", p.X(1), p.N(0.1), p.P(2), p.Nu(9))
            ),
            new(
                "UncertaintyInput.FromHalfWidth",
                p => UncertaintyInput.FromHalfWidth("a", p.X(1), p.N(0.1), Distribution.Triangular, p.Nu(9))
            ),
            new("UncertaintyInput.FromResolution", p => UncertaintyInput.FromResolution("a", p.N(0.1))),
            new("UncertaintyInput.FromReadings", p => UncertaintyInput.FromReadings("a", p.Xs(1, 3, 2, 4))),
            new(
                "UncertaintyInput.FromWindow",
                p => UncertaintyInput.FromWindow("a", new WindowMean(9, 5, 1, 0, 9, 0, p.E(5, 0.1)))
            ),
            new("UncertaintyInput.FromScatter", p => UncertaintyInput.FromScatter("a", p.E(5, 0.1), p.N(9))),
            new("UncertaintyInput.Scaled", p => UncertaintyInput.FromResolution("a", 1).Scaled(p.P(1000))),
            new("UncertaintyInput.With", p => UncertaintyInput.FromResolution("a", 1).With(p.X(2))),
            new("Budget.Linear", p => Sum(p)),
            new("Coverage.Factor", p => Coverage.Factor(p.Q(0.95), p.Nu(9))),
            new("Coverage.Rectangle", p => Coverage.Rectangle(p.Q(0.95))),
            new("Coverage.Trapezoid", p => Coverage.Trapezoid(p.Q(0.95), p.N(0.3))),
            new("MeasurementModel.new", p => Product(p)),
            new("MeasurementModel.Budget", p => Product(null).Budget(p.Q(0.95))),
            new(
                "MeasurementModel.Propagate",
                p =>
                    Product(null).Propagate(1, new MonteCarloOptions { Trials = 2000, CoverageProbability = p.Q(0.95) })
            ),
            new("OneWayAnova.Of", p => OneWayAnova.Of([p.Xs(1, 2, 3), p.Xs(4, 5, 7)])),
            new("OneWayAnova.OfSummaries", p => OneWayAnova.OfSummaries(p.Xs(1, 2, 5), [p.N(1), p.N(1), p.N(2)], 5)),
        ];

    private static IEnumerable<Probe> Meters() =>
        [
            new("MeterSpecification.At", At, r => r is MeterUncertainty { StandardUncertainty: null }),
            new("MeterSpecification.RangeFor", p => Meter(null).RangeFor(p.X(50))),
        ];

    private static IEnumerable<Probe> Decisions() =>
        [
            new("ToleranceLimit.TwoSided", p => ToleranceLimit.TwoSided(p.X(1), p.X(2))),
            new("ToleranceLimit.PlusMinus", p => ToleranceLimit.PlusMinus(p.X(1), p.N(2))),
            new("ToleranceLimit.AtMost", p => ToleranceLimit.AtMost(p.X(1))),
            new("ToleranceLimit.AtLeast", p => ToleranceLimit.AtLeast(p.X(1))),
            new("ToleranceLimit.Allows", p => s_limit.Allows(p.X(100)), r => r is false),
            new("ToleranceLimit.Margin", p => s_limit.Margin(p.X(100))),
            new("DecisionRule.GuardBand", p => DecisionRule.GuardBand(p.N(1))),
            new("DecisionRule.SpecificRisk", p => DecisionRule.SpecificRisk(p.Q(0.02))),
            new("DecisionRule.GlobalRisk", p => DecisionRule.GlobalRisk(new(p.X(100), p.P(1)), p.Q(0.02))),
            new("Conformity.Judge", p => Conformity.Judge(p.E(100, 0.1), p.P(2), s_limit, DecisionRule.GuardBandU)),
            new("Conformity.ProbabilityInside", p => Conformity.ProbabilityInside(p.E(100, 0.1), s_limit)),
            new("Stated.WithUncertainty", p => Stated.WithUncertainty(p.X(12.34), p.N(0.05), "V", p.P(1))),
            new("Stated.Ratio", p => Stated.Ratio(p.N(4)), r => r is "> 10:1"),
            new("Figures.Of", p => Figures.Of(p.X(12.34)), ShowsNoNumber),
            new("Figures.With", p => Figures.With(p.X(12.34), "V"), ShowsNoNumber),
            new("Stated.Chance", p => Stated.Chance(p.N(0.02))),
            new("Conformity.TestUncertaintyRatio", p => Conformity.TestUncertaintyRatio(s_limit, p.N(0.1))),
            new("GlobalRisk.Of", p => GlobalRisk.Of(new(p.X(100), p.P(1)), p.P(0.1), s_limit, p.X(0.1))),
            new(
                "GlobalRisk.GuardBandFor",
                p => GlobalRisk.GuardBandFor(new(p.X(100), p.P(1)), p.P(0.1), s_limit, p.Q(0.01))
            ),
        ];

    private static IEnumerable<Probe> Shunts() =>
        [
            new("ShuntRating.new", p => new ShuntRating(p.P(500), p.P(50), p.P(0.5))),
            new("ShuntRating.PowerAt", p => new ShuntRating(500, 50).PowerAt(p.X(100))),
            new("ShuntRating.AmperesFrom", p => new ShuntRating(500, 50).AmperesFrom(p.X(10))),
            new("ShuntRating.MillivoltsAt", p => new ShuntRating(500, 50).MillivoltsAt(p.X(100))),
            new("ShuntSweep.Analyse", Sweep),
            new("ReferenceShunt.CurrentFrom", Reference),
            new(
                "ShuntWarmUp.Fit",
                p =>
                    ShuntWarmUp.Fit(
                        p.Xs(0, 60, 120, 180, 240, 300, 360, 420),
                        p.Xs(0.1, 0.1004, 0.10063, 0.10078, 0.10086, 0.10092, 0.10095, 0.10097)
                    )
            ),
            new(
                "SetIndicatedActual.Compare",
                p => SetIndicatedActual.Compare(p.E(200, 0.1), p.E(200, 0.1), p.E(204, 0.1), p.P(2), p.Q(0.95))
            ),
        ];

    private static IEnumerable<Probe> Accuracy() =>
        [
            new(
                "AccuracyStatement.Of",
                p =>
                    AccuracyStatement.Of(
                        [new(p.E(200, 1), p.E(199, 1), p.E(198, 1))],
                        p.P(400),
                        "standard",
                        AccuracyGrades.FromMemory(),
                        DecisionRule.GuardBandU,
                        "A",
                        p.Q(0.95)
                    )
            ),
            new(
                "AccuracyGrades.Find",
                p => AccuracyGrades.FromMemory().Find("standard", AccuracyQuantity.Set, p.X(0.5))
            ),
            new("GradeLimit.HalfWidth", p => AccuracyGrades.FromMemory().Limits[0].HalfWidth(p.X(200), p.P(400))),
            new(
                "ControlSweep.Of",
                p =>
                    ControlSweep.Of(
                        [.. Enumerable.Range(1, 5).Select(k => new ControlPoint(p.X(k), p.E(40 * k, 0.5), 1))],
                        "A",
                        p.Q(0.95)
                    )
            ),
        ];

    private static Budget Sum(Poison p) =>
        Budget.Linear(
            "sum",
            "V",
            p.X(3),
            [UncertaintyInput.FromStandard("a", 1, 0.1), UncertaintyInput.FromStandard("b", 2, 0.1)],
            [new Correlation("a", "b", p.R(0.3))],
            p.Q(0.95)
        );

    private static MeasurementModel Product(Poison? p) =>
        new(
            "power",
            "W",
            x => x[0] * x[1],
            [UncertaintyInput.FromStandard("volts", 30, 0.1), UncertaintyInput.FromStandard("amperes", 300, 1)],
            [new Correlation("volts", "amperes", p?.R(0.3) ?? 0.3)]
        );

    private static MeterSpecification Meter(Poison? p) =>
        new()
        {
            Meter = "bench meter",
            Unit = "mV",
            CoverageFactor = p?.P(2) ?? 2,
            BandLowCelsius = p?.X(18) ?? 18,
            BandHighCelsius = p?.X(28) ?? 28,
            ValidDays = p?.P(365) ?? 365,
            PercentOfReadingPerYear = p?.N(0.01) ?? 0.01,
            WarmUpMinutes = p?.N(30) ?? 30,
            PercentOfReadingCold = p?.N(0.05) ?? 0.05,
            Ranges =
            [
                new MeterRange
                {
                    FullScale = p?.P(100) ?? 100,
                    LargestIndication = p?.P(120) ?? 120,
                    PercentOfReading = p?.N(0.05) ?? 0.05,
                    PercentOfRange = p?.N(0.02) ?? 0.02,
                    Counts = p?.N(2) ?? 2,
                    CountSize = p?.N(0.001) ?? 0.001,
                    PercentOfReadingPerKelvin = p?.N(0.005) ?? 0.005,
                    PercentOfRangePerKelvin = p?.N(0.001) ?? 0.001,
                },
            ],
        };

    private static object At(Poison p)
    {
        var meter = Meter(p);
        return meter.At(p.X(50), meter.Ranges[0], new MeterConditions(p.X(35), p.N(400), p.N(10)));
    }

    private static object Sweep(Poison p) =>
        new ShuntSweep
        {
            Rating = new ShuntRating(500, 50),
            Points =
            [
                .. new[] { 100, 200, 300, 400 }.Select(i => new ShuntPoint(
                    p.X(i),
                    p.X((0.0998 * i) + (i == 200 ? 0.003 : 0)),
                    p.N(0.02),
                    p.N(0.002),
                    1,
                    p.X(i)
                )),
            ],
            ZeroBefore = new ZeroReading(p.X(0.001), p.X(0), p.N(0.001)),
            ZeroAfter = new ZeroReading(p.X(0.004), p.X(500), p.N(0.001)),
            Temperature = new ShuntTemperature(p.X(40), p.N(2), p.X(1e-4), p.N(1e-5), p.X(23)),
            CoverageProbability = p.Q(0.95),
        }.Analyse();

    private static object Reference(Poison p) =>
        new ReferenceShunt
        {
            Name = "reference",
            Rating = new ShuntRating(500, 60),
            Certificate = [new(p.P(100), p.X(1e-4), p.P(2e-4), p.P(2), p.Nu(50)), new(p.P(400), p.X(2e-4), p.P(2e-4))],
            CertificateCelsius = p.X(23),
            TemperatureCoefficient = p.X(2e-5),
            TemperatureCoefficientHalfWidth = p.N(1e-5),
            PowerCoefficient = p.X(1e-6),
            PowerCoefficientHalfWidth = p.N(1e-7),
            IsCertifiedCold = true,
            DriftPerYear = p.N(1e-4),
            ThermalMillivolts = p.N(0.002),
        }.CurrentFrom(
            p.X(30),
            [UncertaintyInput.FromStandard("drop", 0, 0.002)],
            new ShuntConditions(p.X(30), p.N(2), p.N(100)),
            p.Q(0.95)
        );

    /// <summary>What is written for a person of no number, or of the overload value of IEEE 488.2, is plainly none of the bench.</summary>
    private static bool ShowsNoNumber(object text) =>
        text is string words
        && (
            words.Contains('∞', StringComparison.Ordinal)
            || words.Contains("no number", StringComparison.Ordinal)
            || words.Contains("10³⁷", StringComparison.Ordinal)
        );
}
