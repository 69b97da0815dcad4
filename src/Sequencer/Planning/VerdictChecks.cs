using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Whether a group's points can give each of its limits a verdict, and whether the prediction itself keeps it.</summary>
internal static class VerdictChecks
{
    /// <summary>A line with an uncertainty from its own scatter has two parameters and one point to spare (JCGM 100:2008, H.3).</summary>
    private const int LeastOfRatio = 3;

    /// <summary>Adds an error for what can never be decided, a warning for what a unit as its nameplate says would fail.</summary>
    public static void Check(
        PointGroup group,
        IReadOnlyList<PointStep> points,
        Nameplate nameplate,
        List<Finding> findings
    )
    {
        if (points.Count == 0)
            return;
        var measured = points.Where(p => !p.IsZeroReading).ToArray();
        foreach (var limit in group.Limits)
        {
            if (Undecidable(group, limit.Measurand, measured) is { } why)
                findings.Add(new Finding(limit.Place, Severity.Error, $"{group.Title}: {why}"));
            else if (Broken(limit, measured, nameplate) is { } broken)
                findings.Add(new Finding(limit.Place, Severity.Warning, broken));
        }
    }

    private static string? Undecidable(PointGroup group, Measurand measurand, PointStep[] points) =>
        measurand switch
        {
            Measurand.ShuntRatio => Ratio(points),
            Measurand.SetCurrentError when SetsVolts(group.Mode) =>
                $"the control of mode {group.Mode.Name} is set in V, so it has no set current error. Judge its set voltage error instead.",
            Measurand.SetVoltageError when !SetsVolts(group.Mode) =>
                $"the control of mode {group.Mode.Name} is set in A, so it has no set voltage error. Judge its set current error instead.",
            Measurand.VoltageRegulation
            or Measurand.FrequencyDroop
                when points.All(p => p.State.Auxiliary.IsEmpty) || points.All(p => !p.State.Auxiliary.IsEmpty) =>
                $"{Words.For(measurand)} is a change from no load to a load, and `at` has only one of them. Give 0 % and a load, for example \"at: [0 %, 100 %]\".",
            _ => null,
        };

    private static string? Ratio(PointStep[] points)
    {
        var loaded = points.Where(p => !p.State.Elements.IsEmpty).ToArray();
        var currents = loaded.Select(p => p.State.PredictedAmperes.Value).Distinct().Count();
        return loaded.Length >= LeastOfRatio && currents >= 2
            ? null
            : $"a shunt ratio with its uncertainty takes {LeastOfRatio} points at 2 different currents at least, and this sweep has {Count(loaded.Length, "point")} at {Count(currents, "current")}. Give more currents under `at`.";
    }

    private static string Count(int number, string what) => number == 1 ? $"1 {what}" : $"{number} {what}s";

    /// <summary>The point whose prediction lies farthest outside the limit, in words; null when all keep it.</summary>
    private static string? Broken(ResolvedLimit limit, PointStep[] points, Nameplate nameplate)
    {
        (double Beyond, string Words)? worst = null;
        foreach (var point in points)
        {
            if (Predicted(limit.Measurand, point.State, nameplate) is not var (value, unit))
                continue;
            var scale = limit.IsRelativeToSetting ? Math.Abs(point.State.Setting.Value) : 1;
            var (lower, upper) = (limit.Lower * scale, limit.Upper * scale);
            var beyond = Math.Max(lower - value ?? double.NegativeInfinity, value - upper ?? double.NegativeInfinity);
            if (beyond <= 1e-9 * Math.Max(1, Math.Abs(value)) || beyond <= worst?.Beyond)
                continue;
            var model = point.State.Elements.IsEmpty ? "" : $" ({point.State.Model})";
            worst = (
                beyond,
                $"{point.Title}: {Words.For(limit.Measurand)} is predicted at {Words.Number(value, unit)}{model}, and \"{limit.Text}\" allows {Allowed(lower, upper, unit)}: a unit that keeps its nameplate would fail here. Correct the step, the limit or the nameplate."
            );
        }
        return worst?.Words;
    }

    private static string Allowed(double? lower, double? upper, Unit unit) =>
        (lower, upper) switch
        {
            ({ } low, { } high) => $"{Words.Limit(low, unit)} to {Words.Limit(high, unit)}",
            ({ } low, null) => $"at least {Words.Limit(low, unit)}",
            _ => $"at most {Words.Limit(upper!.Value, unit)}",
        };

    // What the nameplate alone says of a result; null where it says nothing.
    private static (double Value, Unit Unit)? Predicted(Measurand measurand, BenchState state, Nameplate nameplate)
    {
        var (volts, amperes, set) = (state.PredictedVolts.Value, state.PredictedAmperes.Value, state.Setting.Value);
        var isOpen = state.Elements.IsEmpty;
        return measurand switch
        {
            Measurand.OutputVoltage => (volts, Unit.Volt),
            Measurand.OpenCircuitVoltage when isOpen => (volts, Unit.Volt),
            Measurand.OutputCurrent when !isOpen => (amperes, Unit.Ampere),
            Measurand.OutputPower when !isOpen => (volts * amperes, Unit.Watt),
            Measurand.SetCurrentError when !isOpen => (set - amperes, Unit.Ampere),
            Measurand.SetVoltageError when !isOpen => (set - volts, Unit.Volt),
            Measurand.ShuntRatio => (nameplate.Shunt.RatedRatio, Unit.VoltPerAmpere),
            Measurand.AuxiliaryVoltage when nameplate.Auxiliary is { } rating => (rating.Volts.Value, Unit.Volt),
            Measurand.AuxiliaryFrequency when nameplate.Auxiliary is { } rating => (rating.Hertz, Unit.Hertz),
            _ => null,
        };
    }

    private static bool SetsVolts(UnitMode mode) => mode.Characteristic == Characteristic.ConstantVoltage;
}
