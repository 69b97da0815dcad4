namespace LoadTest.Sequencer.Gating;

/// <summary>One thing the gate checked, and what it found.</summary>
/// <param name="Check">What was checked.</param>
/// <param name="IsPassed">Whether it is as it must be.</param>
/// <param name="Found">What was found, in words with units; when not passed, also what is allowed and what to do.</param>
/// <param name="Code">Refusal code when not passed, empty otherwise: IDENTITY, MAP, CONFIG, CAL, LIVE, STUCK, FAN, ESTOP, RATING, LIMIT, PORTBUSY, DISK, POLARITY, PLAUSIBILITY, CAUTION or OPERATOR.</param>
public sealed record GateFact(string Check, bool IsPassed, string Found, string Code)
{
    /// <summary>As it must be.</summary>
    public static GateFact Passed(string check, string found) => new(check, true, found, "");

    /// <summary>Not as it must be.</summary>
    public static GateFact Refused(string check, string code, string found) => new(check, false, found, code);
}
