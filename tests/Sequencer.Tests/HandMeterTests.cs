using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;
using static LoadTest.SequencerTests.PlanFindingTests;

namespace LoadTest.SequencerTests;

/// <summary>A value by hand is read with an instrument of the bench, or is not judged.</summary>
public sealed class HandMeterTests
{
    private static ByHandStep Step(string? meter, string? input = null, Unit unit = Unit.Ohm, double upper = 9.4) =>
        new(
            "Rotor resistance",
            unit,
            new Expectation(
                Measurand.Value,
                new Limit(LimitForm.Range, Some.Of(8.2, unit), Some.Of(upper, unit), $"8.2 to {upper}", Some.Here)
            ),
            Some.Here
        )
        {
            With = meter is null ? null : new ByHandStep.Meter(meter, input, Some.Here),
        };

    private static RunPlan PlanOf(ByHandStep step) => Plan(Some.Profile(step), Some.WithHandMeter(Some.Bench()));

    [Fact]
    public void Limit_on_a_value_read_with_no_known_meter_is_said_to_stay_untested()
    {
        var plan = PlanOf(Step(null));

        Assert.True(plan.IsRunnable);
        Assert.Contains(
            plan.Findings,
            f => f.Severity == Severity.Warning && f.Message.Contains("names no meter", StringComparison.Ordinal)
        );
        Assert.Null(Assert.Single(plan.Steps.OfType<AskStep>()).Meter);
    }

    [Theory]
    [InlineData("hand-2", null, Unit.Ohm, "is no instrument that a person reads")]
    [InlineData("dmm-1", null, Unit.Volt, "is no instrument that a person reads")]
    [InlineData("hand-1", null, Unit.Hertz, "has no input in Hz")]
    [InlineData("hand-1", "volts", Unit.Ohm, "has no input \"volts\" in Ω")]
    [InlineData("hand-1", null, Unit.Volt, "more than one input in V")]
    public void Meter_that_is_not_there_or_reads_something_else_is_refused(
        string meter,
        string? input,
        Unit unit,
        string words
    ) => Error(PlanOf(Step(meter, input, unit)), words);

    // JCGM 100:2008, 4.3.7, worked by hand: at 9.4 Ω a = 0.9 % · 9.4 + 2 · 0.1 = 0.2846 Ω, a/√3 = 0.16431; half a step of
    // 0.1 Ω 0.02887; together 0.16683 Ω. TUR = 1.2/(2 · 1.95996 · 0.16683) = 1.835.
    [Fact]
    public void Uncertainty_of_a_value_by_hand_is_predicted_from_the_meters_own_specification()
    {
        var step = Assert.Single(PlanOf(Step("hand-1")).Steps.OfType<AskStep>());

        Assert.Equal("ohms", step.Meter!.Input.Name);
        Assert.Equal(0.16683, step.Limit!.PredictedUncertainty!.Value, 5);
        Assert.Equal(1.835, step.Limit.TestUncertaintyRatio!.Value, 3);
    }

    [Fact]
    public void Question_names_the_meter_its_serial_number_and_its_range_and_knows_its_display()
    {
        var plan = PlanOf(Step("hand-1"));
        var ask = Assert.IsType<AskAct>(StepActs.For(plan, plan.Steps[0], new RunState())[^1]);

        Assert.Contains("hand-1 (serial number SN-hand-1): ohms on its 600 range", ask.Text, StringComparison.Ordinal);
        Assert.Equal(new Display(600, 0.1), ask.Display);
    }

    [Theory]
    [InlineData(8.8, null)]
    [InlineData(-600, null)]
    [InlineData(8.83, "digits this display does not show")]
    [InlineData(600.1, "beyond the range")]
    public void Number_the_display_cannot_show_is_not_taken(double value, string? objection)
    {
        var said = new Display(600, 0.1).Objection(value, Unit.Ohm);

        if (objection is null)
            Assert.Null(said);
        else
            Assert.Contains(objection, said, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("2027-03-01", true)]
    [InlineData("2027-03-02", false)]
    public void Meter_read_by_hand_must_be_in_calibration_on_the_day(string day, bool isPassed)
    {
        var facts = CalibrationCheck.Facts(
            PlanOf(Step("hand-1")),
            DateOnly.Parse(day, System.Globalization.CultureInfo.InvariantCulture)
        );

        Assert.Equal(isPassed, facts.Single(f => f.Check.Contains("hand-1", StringComparison.Ordinal)).IsPassed);
    }
}
