using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Sequencer.Gating;

/// <summary>Whether everything that judges is in calibration on the day of the run.</summary>
internal static class CalibrationCheck
{
    public static IEnumerable<GateFact> Facts(RunPlan plan, DateOnly today)
    {
        var bench = plan.Bench;
        yield return Fact(
            $"reference shunt {bench.ReferenceShunt.SerialNumber}",
            bench.ReferenceShunt.Certificate,
            today
        );
        foreach (var instrument in bench.Instruments.Where(i => Judges(plan, i) || i.Certificate is not null))
            yield return Fact(
                $"{instrument.Id} (serial number {instrument.SerialNumber ?? "not known"})",
                instrument.Certificate,
                today
            );
    }

    private static bool Judges(RunPlan plan, BenchInstrument instrument) =>
        plan.Bench.Channels.Any(c => BenchChecks.Judges(c) && c.InstrumentId == instrument.Id)
        || plan.ReadByHand(instrument.Id);

    /// <summary>In date from the day of calibration to the due date, both included.</summary>
    private static GateFact Fact(string what, Certificate? certificate, DateOnly today)
    {
        var check = $"calibration of {what}";
        if (certificate is null)
            return GateFact.Passed(check, "no certificate: nothing read with it is traceable, and the record says so");
        if (today > certificate.Due)
        {
            var days = today.DayNumber - certificate.Due.DayNumber;
            return GateFact.Refused(
                check,
                "CAL",
                $"Was due on {certificate.Due:yyyy-MM-dd}, {days} days before this run (certificate {certificate.Number}). Enter its new certificate in the bench file or use another."
            );
        }
        return today < certificate.Date
            ? GateFact.Refused(
                check,
                "CAL",
                $"Certificate {certificate.Number} is dated {certificate.Date:yyyy-MM-dd}, after this run's date {today:yyyy-MM-dd}. Check the computer's clock and the bench file."
            )
            : GateFact.Passed(
                check,
                $"certificate {certificate.Number}, {certificate.Date:yyyy-MM-dd}, due {certificate.Due:yyyy-MM-dd}"
            );
    }
}
