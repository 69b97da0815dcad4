using LoadTest.Analysis;
using LoadTest.Analysis.Ac;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Results;

/// <summary>Voltage regulation and frequency droop of the auxiliary output, from no load to the largest load.</summary>
/// <remarks>Both readings are of one meter on one range, so lines of one error move together and largely drop out (JCGM 100:2008, 5.2.2).</remarks>
internal static class AuxiliaryMaker
{
    /// <summary>The budget; null when no load or a load was not measured, or nothing is rated.</summary>
    public static Budget? Of(
        Measurand measurand,
        IReadOnlyList<MeasuredPoint> points,
        AuxiliaryRating? rating,
        double coverage
    )
    {
        var isVolts = measurand == Measurand.VoltageRegulation;
        var role = isVolts ? ChannelRole.AuxiliaryVolts : ChannelRole.AuxiliaryFrequency;
        var usable = points.Where(p => p.Counts && p.Beside.ContainsKey(role)).ToArray();
        var open = usable.FirstOrDefault(p => p.Step.State.Auxiliary.IsEmpty);
        var full = usable.Where(p => !p.Step.State.Auxiliary.IsEmpty).MaxBy(p => p.Step.State.AuxiliaryPower.Value);
        if (rating is null || open is null || full is null)
            return null;
        var (a, b) = (open.Beside[role].Budget, full.Beside[role].Budget);
        var (none, all) = (a.Combined.Value, b.Combined.Value);
        // (a − b)/b of volts, (a − b)/rated of hertz.
        var (value, ofNone, ofAll) = isVolts
            ? (VoltageRegulation.NoLoadToFullLoad(a.Combined, b.Combined, 0).Value, 1 / all, -none / (all * all))
            : (Governor.Droop(a.Combined, b.Combined, rating.Hertz).Value, 1 / rating.Hertz, -1 / rating.Hertz);
        return Budget.Linear(
            isVolts ? "voltage regulation" : "frequency droop",
            "",
            value,
            [
                .. Lines(a, "no load", ofNone),
                .. Lines(b, $"{Figures.Of(full.Step.State.AuxiliaryPower.Value / 1000, 3)} kW", ofAll),
                .. Straightness(b, Math.Abs(none - all), ofNone),
            ],
            null,
            coverage
        );
    }

    private static IEnumerable<UncertaintyInput> Lines(Budget budget, string at, double sensitivity) =>
        budget
            .Lines.Where(l => l.Input.Component != Component.Linearity)
            .Select(l => l.Input.Named($"{l.Input.Name}, {at}").With(l.Sensitivity * sensitivity));

    // Two readings near to one another share most of a meter's departure from a straight line: one bow over the range changes by at most
    // four times its height over the range, here over the value itself, which is no more than the range. House rule, no source.
    private static IEnumerable<UncertaintyInput> Straightness(Budget budget, double apart, double sensitivity)
    {
        var part = Math.Min(1, 4 * apart / Math.Abs(budget.Combined.Value));
        return budget
            .Lines.Where(l => l.Input.Component == Component.Linearity)
            .Select(l => l.Input.Named($"{l.Input.Name}, between the two").With(l.Sensitivity * sensitivity * part));
    }
}
