using System.Collections.Immutable;
using LoadTest.Records;
using LoadTest.Records.Journaling;
using LoadTest.RecordsTests.Journaling;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;
using LoadTest.SequencerTests;

namespace LoadTest.RecordsTests.Runs;

/// <summary>Plans and records of invented runs.</summary>
internal static class SomeRun
{
    /// <summary>An output verification with as found, adjustment and as left.</summary>
    public static LoadProfile Verification(string inspection = "Leads, lugs and guards in place") =>
        Some.Profile(
            new InspectStep(inspection, Some.Here),
            new ByHandStep(
                "Rotor resistance, slip ring to slip ring",
                Unit.Ohm,
                new Expectation(Measurand.Value, Range(8.2, 9.4, Unit.Ohm)),
                Some.Here
            )
            {
                With = new ByHandStep.Meter("hand-1", null, Some.Here),
            },
            Some.Energise(),
            new NoLoadStep([new Expectation(Measurand.OutputVoltage, Range(62, 80, Unit.Volt))], Some.Here),
            new MeasureStep("shunt", Condition.AsFound, Some.Here),
            new AdjustStep("Current feedback gain", Some.Here),
            new MeasureStep("shunt", Condition.AsLeft, Some.Here),
            new CurveStep(
                null,
                Some.Percent(50, BaseName.RatedCurrent),
                9,
                [
                    new Expectation(Measurand.OpenCircuitVoltage, Range(62, 80, Unit.Volt)),
                    new Expectation(
                        Measurand.CurrentAtLoadLine,
                        new Limit(
                            LimitForm.PlusMinus,
                            Some.Of(150, Unit.Ampere),
                            new Amount(0.02, Unit.Fraction, null, Some.Here),
                            "150 A ± 2 %",
                            Some.Here
                        )
                    ),
                ],
                Some.Here
            ),
            new LoadLineStep(
                null,
                [],
                BothWays: true,
                ReadPanel: true,
                [
                    new Expectation(
                        Measurand.SetCurrentError,
                        new Limit(
                            LimitForm.PlusMinus,
                            Some.Of(0, Unit.Ampere),
                            new Amount(0.025, Unit.Fraction, BaseName.Setting, Some.Here),
                            "0 A ± 2.5 % of setting",
                            Some.Here
                        )
                    ),
                ],
                Some.Here
            ),
            new HoldStep(
                null,
                Some.Percent(100, BaseName.RatedCurrent),
                TimeSpan.FromSeconds(30),
                [new Expectation(Measurand.Drift, Range(-0.01, 0.01, Unit.Fraction))],
                Some.Here
            ),
            Some.CoolDown()
        ) with
        {
            Points = ImmutableDictionary<string, ImmutableArray<ProfileStep>>.Empty.Add(
                "shunt",
                [Some.Sweep(Some.RatioWithin(1)) with { ReadPanel = true }]
            ),
        };

    public static RunPlan Plan() => Plan(Verification());

    public static RunPlan Plan(LoadProfile profile) =>
        Planner.Plan(profile, Some.Nameplate(), Some.WithHandMeter(Some.Bench()));

    /// <summary>The record of a run of a unit whose shunt reads this much wrong until it is adjusted.</summary>
    public static RunRecord Record(
        double gain = -0.018,
        ulong seed = 1,
        int? tripAtStep = null,
        int? unsettledStep = null,
        LoadProfile? profile = null
    )
    {
        var plan = Plan(profile ?? Verification());
        var entries = FakeRun.Entries(plan, new FakeUnit(gain), seed, tripAtStep, unsettledStep);
        return RecordBuilder.Build(Journal(entries), plan, []);
    }

    /// <summary>The journal of some entries.</summary>
    public static JournalContents Journal(IReadOnlyList<JournalEntry> entries) =>
        SomeEntries.Read(SomeEntries.Bytes(entries));

    private static Limit Range(double lower, double upper, Unit unit) =>
        new(
            LimitForm.Range,
            Some.Of(lower, unit),
            Some.Of(upper, unit),
            $"{lower * ResultWords.Shown(unit).Factor} {ResultWords.Shown(unit).Symbol} to {upper * ResultWords.Shown(unit).Factor} {ResultWords.Shown(unit).Symbol}",
            Some.Here
        );
}
