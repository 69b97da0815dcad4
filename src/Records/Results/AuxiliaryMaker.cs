using LoadTest.Analysis;
using LoadTest.Analysis.Ac;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Results;

/// <summary>Voltage regulation and frequency droop of the auxiliary output, from no load to the largest load.</summary>
/// <remarks>Both readings are of one meter on one range, so what is common to them drops out as its correlation says (JCGM 100:2008, 5.2.2).</remarks>
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
        var (a, b) = (open.Beside[role], full.Beside[role]);
        var estimate = isVolts
            ? VoltageRegulation.NoLoadToFullLoad(a.Estimate, b.Estimate, Correlation(a, b))
            : Governor.Droop(Own(a), Own(b), rating.Hertz);
        var name = isVolts ? "voltage regulation" : "frequency droop";
        return Budget.Linear(
            name,
            "",
            estimate.Value,
            [
                UncertaintyInput.FromStandard(
                    $"{name}: no load and {full.Step.State.AuxiliaryPower.Value / 1000:G3} kW",
                    0,
                    estimate.StandardUncertainty,
                    estimate.DegreesOfFreedom
                ) with
                {
                    Component = Component.Method,
                },
            ],
            null,
            coverage
        );
    }

    private static double Correlation(Measured a, Measured b)
    {
        var product = a.Estimate.StandardUncertainty * b.Estimate.StandardUncertainty;
        return product > 0 ? Math.Min(1, a.Common * b.Common / product) : 0;
    }

    // A difference of two frequencies by one meter keeps their scatter alone.
    private static Estimate Own(Measured m) => m.Estimate with { StandardUncertainty = m.Scatter };
}
