using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Shunts;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.RecordsTests;

public sealed class RunRecordTests
{
    private const double Gain = -0.018;
    private static readonly RunRecord Usual = SomeRun.Record(Gain);

    private static GroupResult Group(GroupKind kind, Condition condition = Condition.AsIs) =>
        Usual.Groups.Single(g => g.Group.Kind == kind && g.Group.Condition == condition);

    [Fact]
    public void Plan_of_the_run_is_runnable() =>
        Assert.Empty(SomeRun.Plan().Findings.Where(f => f.Severity == Severity.Error));

    [Fact]
    public void Wrong_shunt_is_found_within_its_stated_uncertainty_and_fails_as_found()
    {
        var judged = Assert.Single(Group(GroupKind.ShuntSweep, Condition.AsFound).Judged);
        var expected = 0.00012 * (1 + Gain);

        Assert.Equal(Verdict.Fail, judged.Judgement.Verdict);
        Assert.True(judged.IsSuperseded);
        // The reference is off by less than its certificate says; the estimate must lie within U of the truth.
        Assert.InRange(
            judged.Judgement.Estimate!.Value.Value,
            expected - judged.Judgement.Expanded,
            expected + judged.Judgement.Expanded
        );
        Assert.InRange(judged.Judgement.Expanded / expected, 1e-4, 2e-3);
    }

    [Fact]
    public void Adjusted_shunt_passes_as_left_and_the_run_is_judged_by_that()
    {
        var judged = Assert.Single(Group(GroupKind.ShuntSweep, Condition.AsLeft).Judged);

        Assert.Equal(Verdict.Pass, judged.Judgement.Verdict);
        Assert.False(judged.IsSuperseded);
        Assert.Equal(
            (OverallVerdict.Pass, ""),
            (
                Usual.Overall.Verdict,
                string.Join(
                    "; ",
                    Usual
                        .Judged.Where(j => j is { IsSuperseded: false, Judgement.Verdict: not Verdict.Pass })
                        .Select(j => j.Judgement.Words)
                )
            )
        );
    }

    [Fact]
    public void Set_and_indicated_agree_and_actual_does_not_when_the_shunt_is_wrong()
    {
        var found = Group(GroupKind.ShuntSweep, Condition.AsFound).Agreement;
        var left = Group(GroupKind.ShuntSweep, Condition.AsLeft).Agreement;

        Assert.All(found.Where(a => a.Set > 200), a => Assert.Equal(Suspect.ShuntOrItsWiring, a.Comparison.Suspect));
        Assert.All(left.Where(a => a.Set > 200), a => Assert.Equal(Suspect.None, a.Comparison.Suspect));
    }

    [Fact]
    public void Curve_says_the_open_circuit_voltage_and_the_current_at_the_load_line()
    {
        var curve = Group(GroupKind.Curve);
        var open = curve.Judged.Single(j => j.Measurand == Measurand.OpenCircuitVoltage).Judgement;
        var crossing = curve.Judged.Single(j => j.Measurand == Measurand.CurrentAtLoadLine).Judgement;

        Assert.InRange(open.Estimate!.Value.Value, 72 - open.Expanded, 72 + open.Expanded);
        // The unit on paper delivers 150 A / (1 + 0.0004) wherever it regulates.
        Assert.InRange(crossing.Estimate!.Value.Value, 149.94 - crossing.Expanded, 149.94 + crossing.Expanded);
    }

    [Fact]
    public void Amperes_go_through_the_certificate_of_the_reference_shunt()
    {
        var points = Group(GroupKind.ShuntSweep, Condition.AsLeft).Points.Where(p => !p.Step.IsZeroReading);

        Assert.All(
            points,
            p =>
            {
                var amperes = p.Amperes!.Estimate;
                var truth = p.Step.State.Setting.Value / 1.0004;
                Assert.InRange((amperes.Value - truth) / amperes.StandardUncertainty, -2.5, 2.5);
                Assert.Contains(
                    p.Amperes.Budget.Lines,
                    l => l.Input.Name.Contains("certificate", StringComparison.Ordinal)
                );
            }
        );
    }

    [Fact]
    public void Trip_leaves_the_rest_not_tested_and_as_found_counts()
    {
        var plan = SomeRun.Plan();
        var lastFound = plan
            .Steps.OfType<PointStep>()
            .Last(p => plan.Groups[p.Group - 1].Condition == Condition.AsFound);
        var record = SomeRun.Record(Gain, tripAtStep: lastFound.Number);

        Assert.Equal(Outcome.Tripped, record.Outcome);
        Assert.Equal(BankEnd.Off, record.Bank);
        Assert.Equal(OverallVerdict.Fail, record.Overall.Verdict);
        Assert.Contains(record.Judged, j => j.Judgement.Verdict == Verdict.NotTested);
        Assert.DoesNotContain(record.Judged, j => j.IsSuperseded != false);
    }

    [Fact]
    public void Trip_before_any_failure_leaves_the_run_incomplete()
    {
        var first = SomeRun.Plan().Steps.OfType<PointStep>().First();

        Assert.Equal(OverallVerdict.Incomplete, SomeRun.Record(Gain, tripAtStep: first.Number).Overall.Verdict);
    }

    [Fact]
    public void Point_that_did_not_settle_is_not_judged()
    {
        var noLoad = SomeRun.Plan().Steps.OfType<PointStep>().First();
        var record = SomeRun.Record(Gain, unsettledStep: noLoad.Number);
        var judged = record.Judged.First(j => j.Measurand == Measurand.OutputVoltage);

        Assert.Equal(Verdict.NotTested, judged.Judgement.Verdict);
        Assert.Contains("did not settle", judged.Judgement.Words, StringComparison.Ordinal);
        Assert.Contains(record.Groups[0].Findings, f => f.Contains("did not settle", StringComparison.Ordinal));
    }

    [Fact]
    public void Simulated_bench_claims_nothing_and_a_real_one_no_more_than_it_may()
    {
        var plan = SomeRun.Plan();
        RunRecord Real(int? trip) =>
            RecordBuilder.Build(
                SomeRun.Journal(FakeRun.Entries(plan, new FakeUnit(Gain), tripAtStep: trip, isSimulated: false)),
                plan,
                []
            );

        Assert.Equal(ClaimKind.None, Usual.Claim.Kind);
        Assert.Equal(ClaimKind.Verification, Real(null).Claim.Kind);
        Assert.Equal(ClaimKind.Test, Real(5).Claim.Kind);
    }

    [Theory]
    [InlineData(new[] { 1.9 }, ClaimKind.Verification)]
    [InlineData(new[] { 1.5, -1.5 }, ClaimKind.Test)]
    [InlineData(new[] { -37.0 }, ClaimKind.Test)]
    public void Clock_set_by_more_than_two_seconds_in_all_bars_every_claim_beyond_a_test(
        double[] steps,
        ClaimKind claim
    )
    {
        var plan = SomeRun.Plan();
        var entries = FakeRun.Entries(plan, new FakeUnit(Gain), isSimulated: false).ToList();
        var at = entries[^2].At;
        entries.InsertRange(entries.Count - 1, steps.Select(s => new ClockMoved(at, TimeSpan.FromSeconds(s))));
        var record = RecordBuilder.Build(SomeRun.Journal(entries), plan, []);

        Assert.Equal(claim, record.Claim.Kind);
        Assert.Equal(steps.Length, record.Events.Count(e => e.Kind == "clock moved"));
    }

    [Fact]
    public void Journal_without_its_end_leaves_outcome_and_bank_unknown_and_says_that_it_was_energised()
    {
        var plan = SomeRun.Plan();
        var entries = FakeRun.Entries(plan, new FakeUnit(Gain));
        var cut = entries.Take(
            entries.ToList().FindLastIndex(e => e is SwitchIntended { Elements.IsEmpty: false }) + 2
        );
        var record = RecordBuilder.Build(SomeRun.Journal([.. cut]), plan, []);

        Assert.Equal((null, null, true), (record.Outcome, record.Bank, record.WasEnergised));
        Assert.Null(record.Duration);
        Assert.Equal((OverallVerdict.Unknown, ClaimKind.None), (record.Overall.Verdict, record.Claim.Kind));
        Assert.Contains(record.Trouble, t => t.Contains("interrupted", StringComparison.Ordinal));
    }

    [Fact]
    public void Same_journal_gives_the_same_record_bytes_and_another_seed_others()
    {
        Assert.Equal(RecordJson.Write(Usual), RecordJson.Write(SomeRun.Record(Gain)));
        Assert.NotEqual(RecordJson.Write(Usual), RecordJson.Write(SomeRun.Record(Gain, seed: 2)));
    }

    [Fact]
    public void Uncertainty_covers_the_truth_in_most_of_many_runs()
    {
        var inside = 0;
        const int Runs = 40;
        for (var seed = 1; seed <= Runs; seed++)
        {
            var judged = SomeRun.Record(Gain, (ulong)seed).Judged.First(j => j.Measurand == Measurand.ShuntRatio);
            var truth = 0.00012 * (1 + Gain);
            inside += Math.Abs(judged.Judgement.Estimate!.Value.Value - truth) <= judged.Judgement.Expanded ? 1 : 0;
        }

        // Common errors of the invented meters are zero but for the reference's, so nearly all must be covered.
        Assert.InRange(inside, 38, Runs);
    }
}
