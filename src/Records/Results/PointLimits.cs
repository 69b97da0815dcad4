using LoadTest.Analysis;
using LoadTest.Analysis.Uncertainty;
using LoadTest.Records.Measuring;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Results;

/// <summary>Limits that are judged at every loaded point of a group: volts, amperes, watts and errors of setting and panel.</summary>
internal static class PointLimits
{
    /// <summary>One judged result for each point; open points count for volts only.</summary>
    /// <param name="group">The group.</param>
    /// <param name="limit">The limit.</param>
    /// <param name="points">The group's points.</param>
    /// <param name="judge">Who judges.</param>
    /// <param name="mark">What tells the group from another of the same title; empty where none is.</param>
    public static IEnumerable<JudgedResult> Judged(
        PointGroup group,
        ResolvedLimit limit,
        IReadOnlyList<MeasuredPoint> points,
        Judge judge,
        string mark
    )
    {
        var unit = UnitOf(limit.Measurand);
        foreach (var point in points)
        {
            if (point.Step.IsZeroReading || IsLeftOut(limit.Measurand, point.Step.State, unit))
                continue;
            yield return judge.Of(
                $"{ResultWords.Of(limit.Measurand)}, {point.Step.Title}{mark}",
                limit,
                group.Condition,
                unit,
                point.Counts ? BudgetOf(limit.Measurand, point, points, judge.Coverage) : null,
                Math.Abs(point.Step.State.Setting.Value),
                Missing(point),
                point.Step.Number
            );
        }
    }

    // Open points count for volts only; the auxiliary output is judged at any of its own, its power where it is loaded.
    private static bool IsLeftOut(Measurand measurand, BenchState state, Unit unit) =>
        measurand switch
        {
            Measurand.AuxiliaryVoltage or Measurand.AuxiliaryFrequency => false,
            Measurand.AuxiliaryPower => state.Auxiliary.IsEmpty,
            _ => state.Elements.IsEmpty && unit != Unit.Volt,
        };

    private static string Missing(MeasuredPoint point) =>
        point.Window is null ? "The run did not measure this point."
        : !point.Window.HasSettled ? $"It did not settle. {point.Window.Words}"
        : "The bench or the operator gave no reading of it.";

    private static Unit UnitOf(Measurand measurand) =>
        measurand switch
        {
            Measurand.OutputVoltage
            or Measurand.SetVoltageError
            or Measurand.IndicatedVoltageError
            or Measurand.AuxiliaryVoltage => Unit.Volt,
            Measurand.OutputPower or Measurand.AuxiliaryPower => Unit.Watt,
            Measurand.AuxiliaryFrequency => Unit.Hertz,
            Measurand.UnitTemperature => Unit.Celsius,
            Measurand.OutputCurrent or Measurand.SetCurrentError or Measurand.IndicatedCurrentError => Unit.Ampere,
            _ => throw new ArgumentOutOfRangeException(
                nameof(measurand),
                measurand,
                "This quantity is judged on a whole group, or only trips."
            ),
        };

    private static Budget? BudgetOf(
        Measurand measurand,
        MeasuredPoint point,
        IReadOnlyList<MeasuredPoint> points,
        double coverage
    )
    {
        var set = new Estimate(point.Step.State.Setting.Value, 0);
        var (volts, amperes) = (point.Volts?.Budget, point.Amperes?.Budget);
        Budget? Beside(ChannelRole role) => point.Beside.GetValueOrDefault(role)?.Budget;
        return measurand switch
        {
            Measurand.OutputVoltage => volts,
            Measurand.AuxiliaryVoltage => Beside(ChannelRole.AuxiliaryVolts),
            Measurand.AuxiliaryFrequency => Beside(ChannelRole.AuxiliaryFrequency),
            Measurand.AuxiliaryPower => Beside(ChannelRole.AuxiliaryPower),
            Measurand.UnitTemperature => Beside(ChannelRole.UnitTemperature),
            Measurand.OutputCurrent => amperes,
            Measurand.OutputPower => volts is null || amperes is null ? null : Power(volts, amperes, coverage),
            Measurand.SetVoltageError => Error("set", set, volts, coverage),
            Measurand.SetCurrentError => Error("set", set, amperes, coverage),
            Measurand.IndicatedVoltageError => point.PanelVolts is { } v
                ? Error("indicated", PanelReader.Reading(v, points, isVolts: true), volts, coverage)
                : null,
            _ => point.PanelAmperes is { } a
                ? Error("indicated", PanelReader.Reading(a, points, isVolts: false), amperes, coverage)
                : null,
        };
    }

    // Error of indication: what is said less what is.
    private static Budget? Error(string said, Estimate value, Budget? actual, double coverage)
    {
        if (actual is null)
            return null;
        var inputs = actual.Lines.Select(l => l.Input.With(-l.Sensitivity)).ToList();
        if (value.StandardUncertainty > 0)
            inputs.Insert(
                0,
                UncertaintyInput.FromHalfWidth(
                    $"{said}: last digit",
                    value.Value,
                    value.StandardUncertainty * Distribution.Rectangular.Divisor()
                ) with
                {
                    Component = Component.Resolution,
                }
            );
        return Budget.Linear(
            $"{said} less actual",
            actual.Unit,
            value.Value - actual.Combined.Value,
            inputs,
            actual.Correlations,
            coverage
        );
    }

    private static Budget Power(Budget volts, Budget amperes, double coverage)
    {
        var (u, i) = (volts.Combined.Value, amperes.Combined.Value);
        UncertaintyInput[] inputs =
        [
            .. volts.Lines.Select(l => l.Input.With(l.Sensitivity * i)),
            .. amperes.Lines.Select(l => l.Input.With(l.Sensitivity * u)),
        ];
        return Budget.Linear("output power", "W", u * i, inputs, null, coverage);
    }
}
