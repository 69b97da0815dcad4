using LoadTest.Analysis.Decision;
using LoadTest.Records;
using LoadTest.Records.Results;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.RecordsTests.Runs;

/// <summary>A value by hand has the uncertainty of the meter it was read with, whatever its last digit says.</summary>
public sealed class HandValueTests
{
    private static readonly DateOnly Day = new(2026, 11, 25);

    private static Analysis.Uncertainty.Budget Of(double number, string typed)
    {
        var step = SomeRun.Plan().Steps.OfType<AskStep>().Single(s => s.Kind == AskKind.Number);
        var answer = new Answer(true, number, "", "A. Invented") { Typed = typed };
        return HandValue.Of(step, answer, Day, 0.95, []).Budget!;
    }

    // JCGM 100:2008, 4.3.7 and F.2.2.1, worked by hand: at 8.8 Ω a = 0.9 % · 8.8 + 2 · 0.1 = 0.2792 Ω, a/√3 = 0.16120;
    // half of 0.1 Ω over √3 0.02887; together 0.16376. The last digit alone would say 0.02887.
    [Theory]
    [InlineData(8.8, "8.8", 0.16376)]
    // 9 Ω: a = 0.281, 0.16224; a zero that was typed was read: with 0.02887 0.16478.
    [InlineData(9, "9.0", 0.16478)]
    // Without it 1 Ω is all that was read: half of it over √3 is 0.28868, together 0.33114.
    [InlineData(9, "9", 0.33114)]
    public void Budget_is_the_meters_and_a_digit_not_typed_was_not_read(double number, string typed, double u) =>
        Assert.Equal(u, Of(number, typed).Combined.StandardUncertainty, 5);

    [Theory]
    [InlineData("9", 1)]
    [InlineData("9.0", 0.1)]
    [InlineData("-0.500", 0.001)]
    [InlineData("−12.", 1)]
    [InlineData("1.20e3", 10)]
    [InlineData("", 0)]
    [InlineData(null, 0)]
    public void Step_of_a_typed_number_is_that_of_its_last_digit(string? typed, double step) =>
        Assert.Equal(step, LastDigit.Step(typed), 12);

    [Fact]
    public void Value_from_no_known_meter_is_not_tested_and_bars_the_claim_above_test()
    {
        var profile = SomeRun.Verification();
        var unknown = profile with
        {
            Steps = [.. profile.Steps.Select(s => s is ByHandStep hand ? hand with { With = null } : s)],
        };
        var record = SomeRun.Record(profile: unknown);

        var judged = record.Judged.Single(j => j.Measurand == Measurand.Value);
        Assert.Equal(Verdict.NotTested, judged.Judgement.Verdict);
        Assert.Contains("No known meter", judged.Judgement.Words, StringComparison.Ordinal);
        Assert.Equal(OverallVerdict.Incomplete, record.Overall.Verdict);
        Assert.NotEqual(ClaimKind.Verification, record.Claim.Kind);
    }

    [Fact]
    public void Meter_read_by_hand_is_among_the_instruments_that_judge()
    {
        var item = SomeRun.Record().Instruments.Single(i => i.Id == "hand-1");

        Assert.Equal((true, true), (item.IsJudging, item.IsInDate));
        Assert.Contains("read by hand: Rotor resistance", item.Reads, StringComparison.Ordinal);
    }
}
