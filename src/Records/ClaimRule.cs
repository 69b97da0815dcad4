using LoadTest.Analysis.Decision;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Records;

/// <summary>Bounds what a record may say it is.</summary>
internal static class ClaimRule
{
    /// <summary>None on a simulated bench; unknown when frames are missing; verification when nothing bars it; a test otherwise.</summary>
    public static Claim Of(TrustedPart trusted, Overall overall, IReadOnlyList<BenchItem> instruments)
    {
        if (trusted.Journal.Entries[0] is RunOpened { IsSimulated: true })
            return new Claim(
                ClaimKind.None,
                ["The bench was simulated: nothing here says anything about a real unit."]
            );
        if (!trusted.IsWhole || trusted.Journal.Entries[^1] is not RunClosed closed)
            return new Claim(ClaimKind.Unknown, ["Frames are missing that say how the run ended."]);
        var reasons = new List<string>();
        var clockMoved = ClockRule.Total(trusted.Journal.Entries);
        if (closed.Outcome != Outcome.Complete)
            reasons.Add("The run was not completed.");
        if (overall.Verdict == OverallVerdict.Incomplete)
            reasons.Add(overall.Words);
        if (closed.Bank == BankEnd.OffNotConfirmed)
            reasons.Add("The load bank could not be confirmed off.");
        if (clockMoved > ClockRule.Most)
            reasons.Add(
                $"The computer's clock was set by {clockMoved.TotalSeconds:0.0} s in all during the run, more than {ClockRule.Most.TotalSeconds:0} s: its date and time are in doubt."
            );
        foreach (var item in instruments.Where(i => i is { IsJudging: true, IsInDate: false }))
            reasons.Add($"{item.Id} had no certificate in date on the day of the run.");
        return reasons.Count == 0
            ? new Claim(ClaimKind.Verification, ["A calibration is claimed only with signatures."])
            : new Claim(ClaimKind.Test, reasons);
    }
}
