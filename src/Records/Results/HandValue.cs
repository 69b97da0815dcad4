using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Records.Results;

/// <summary>What a value that a person read is worth: the budget of the meter it was read with.</summary>
/// <remarks>
/// Correction and U of the certificate, limit of error of the specification, and the step that was read: the display's, or that
/// of the last digit typed where fewer were typed (JCGM 100:2008, 4.3.7 and F.2.2.1). 8.8 Ω on ± (0.9 % of reading + 2
/// counts of 0.1 Ω): a = 0.2792 Ω, u = √(0.1612² + 0.0289²) = 0.164 Ω.
/// </remarks>
internal static class HandValue
{
    /// <summary>Why a value read with nothing the bench knows is not judged.</summary>
    public const string NoKnownMeter =
        "No known meter: the step names no instrument of the bench, so the uncertainty of the value is not known.";

    /// <summary>The budget in the unit of the step; null with a reason when the value cannot be judged.</summary>
    public static (Budget? Budget, string Missing) Of(
        AskStep step,
        Answer? answer,
        DateOnly day,
        double coverage,
        List<string> assumptions
    )
    {
        if (answer is not { Yes: true, Number: { } number })
            return (null, "No value was given.");
        if (step.Meter is not { } reading)
            return (null, NoKnownMeter);
        if (Math.Abs(number) > reading.Input.Range)
            return (null, $"The value lies beyond the range of {reading.Instrument.Id}.");
        var meter = new JudgingMeter(reading, day);
        var lines = new List<UncertaintyInput>();
        var value = number + meter.Correction(number, lines);
        var readability = Math.Max(meter.Resolution, LastDigit.Step(answer.Typed));
        meter.AddReading(number, readability, lines, assumptions);
        return (Budget.Linear(step.Title, ResultWords.Symbol(step.Unit), value, [.. lines], null, coverage), "");
    }
}
