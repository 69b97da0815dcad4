using LoadTest.Analysis;
using LoadTest.Analysis.Shunts;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.Records.Results;

/// <summary>What a person read on the unit's own meters, held against setting and reference.</summary>
internal static class PanelReader
{
    /// <summary>Set, indicated and actual at every point where the panel was read; the controlled quantity only.</summary>
    public static IReadOnlyList<PanelAgreement> Compare(
        PointGroup group,
        IReadOnlyList<MeasuredPoint> points,
        double coverage
    )
    {
        var setsVolts = SetsVolts(group.Mode);
        var found = new List<PanelAgreement>();
        foreach (var point in points.Where(p => p.Counts))
        {
            var indicated = setsVolts ? point.PanelVolts : point.PanelAmperes;
            var actual = setsVolts ? point.Volts : point.Amperes;
            if (indicated is not { } shown || actual is null)
                continue;
            var set = point.Step.State.Setting.Value;
            var reading = Reading(shown, points, setsVolts);
            found.Add(
                new PanelAgreement(
                    point.Step.Number,
                    set,
                    reading,
                    actual.Estimate,
                    SetIndicatedActual.Compare(
                        new Estimate(set, 0),
                        reading,
                        actual.Estimate,
                        Tolerance(group, set),
                        coverage,
                        setsVolts ? "V" : "A"
                    )
                )
            );
        }
        return found;
    }

    /// <summary>A reading of the panel with the uncertainty of its last digit, as finely as any reading of the group was typed.</summary>
    public static Estimate Reading(double shown, IReadOnlyList<MeasuredPoint> points, bool isVolts) =>
        LastDigit.Of(shown, [.. points.Select(p => isVolts ? p.PanelVolts : p.PanelAmperes).OfType<double>()]);

    /// <summary>Whether the mode's control sets volts.</summary>
    public static bool SetsVolts(UnitMode mode) => mode.Characteristic == Characteristic.ConstantVoltage;

    // The profile's own limit on set or indicated error, then that on the shunt's ratio, else what the nameplate assumes of
    // the setting.
    private static double Tolerance(PointGroup group, double set)
    {
        var limit = group.Limits.FirstOrDefault(l =>
            l.Measurand
                is Measurand.SetCurrentError
                    or Measurand.IndicatedCurrentError
                    or Measurand.SetVoltageError
                    or Measurand.IndicatedVoltageError
        );
        if (limit is { Lower: { } lower, Upper: { } upper } && upper > lower)
            return (upper - lower) / 2 * (limit.IsRelativeToSetting ? set : 1);
        if (
            group.Limits.FirstOrDefault(l => l.Measurand == Measurand.ShuntRatio)
                is { Lower: { } least, Upper: { } most }
            && most > least
            && least > 0
        )
            return (most - least) / (most + least) * set;
        return Math.Max(group.Mode.SettingTolerance * set, double.Epsilon);
    }
}
