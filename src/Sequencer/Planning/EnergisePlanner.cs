using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Plans the second half of the gate: open-circuit band and a proving load of one element.</summary>
internal sealed class EnergisePlanner(Circuit circuit, StatePlanner states, List<Finding> findings)
{
    /// <summary>A proving load draws no more than this part of the rated current.</summary>
    private const double ProvingPart = 0.05;

    public EnergiseStepPlan? Plan(int number, string title, UnitModel unit, Place place)
    {
        var open = new Position(unit.MinimumSetting, ElementSet.None);
        var candidates = Enumerable
            .Range(0, circuit.Bank.Elements.Count)
            .Select(k =>
                states.Loaded(unit, unit.MinimumSetting, circuit.TotalOf(ElementSet.Of(k)), open, new(1e-6, 0)).State
            )
            .OfType<BenchState>()
            .Select(WithoutConductance)
            .ToArray();
        var most = ProvingPart * unit.Mode.RatedAmperes.Value;
        var proving =
            candidates.Where(s => s.PredictedAmperes.Value <= most).MaxBy(s => s.PredictedAmperes.Value)
            ?? candidates.MinBy(s => s.PredictedAmperes.Value);
        if (proving is null)
        {
            findings.Add(
                new Finding(
                    place,
                    Severity.Error,
                    $"No single element can serve as a proving load at {Words.Number(unit.Mode.MinimumSetting)}: each would exceed a rating at the source's {Figures.With(unit.Mode.HighestOpenCircuit.Value, "V", 4)}. Use a bank with one element rated for that voltage."
                )
            );
            return null;
        }
        var band = CurrentBand(unit, proving);
        Judge(unit, proving, band, most, place);
        return new EnergiseStepPlan(number, title, unit.Mode, OpenCircuit(unit.Mode), proving, band, place);
    }

    /// <summary>The current band of the gate judges the proving load; so small a current is no measure of conductance.</summary>
    private static BenchState WithoutConductance(BenchState state) =>
        state with
        {
            Trips = state.Trips with { Conductance = null },
        };

    /// <summary>Open-circuit voltage the nameplate allows; on constant voltage also the lowest setting itself.</summary>
    public static Band OpenCircuit(UnitMode mode)
    {
        var lowest =
            mode.Characteristic == Characteristic.ConstantVoltage
                ? Math.Min(mode.LowestOpenCircuit.Value, mode.MinimumSetting.Value * (1 - mode.SettingTolerance))
                : mode.LowestOpenCircuit.Value;
        return new Band(lowest, mode.HighestOpenCircuit.Value);
    }

    /// <summary>Current the proving load may draw: open-circuit band, setting tolerance, element tolerance, the fast meter's error.</summary>
    private Band CurrentBand(UnitModel unit, BenchState proving)
    {
        var mode = unit.Mode;
        var index = proving.Elements.Indices()[0];
        var tolerance = circuit.Bank.Elements[index].Tolerance;
        var ohms = circuit.TotalOf(proving.Elements);
        var low = unit.AmperesInto(
            unit.MinimumSetting * (1 - mode.SettingTolerance),
            ohms * (1 + tolerance),
            mode.LowestOpenCircuit.Value
        );
        var high = unit.AmperesInto(
            unit.MinimumSetting * (1 + mode.SettingTolerance),
            ohms * (1 - tolerance),
            mode.HighestOpenCircuit.Value
        );
        return new Band(low - FastAccuracy.Amperes(circuit, low), high + FastAccuracy.Amperes(circuit, high));
    }

    private void Judge(UnitModel unit, BenchState proving, Band band, double most, Place place)
    {
        if (proving.PredictedAmperes.Value > most)
        {
            findings.Add(
                new Finding(
                    place,
                    Severity.Warning,
                    $"The proving load of {proving.Elements} draws {Figures.With(proving.PredictedAmperes.Value, "A", 3)}, above {Figures.Of(ProvingPart * 100, 2)} % of the rated current ({Figures.With(most, "A", 3)}). An element of higher resistance rated for {Figures.With(unit.Mode.HighestOpenCircuit.Value, "V", 4)} would prove the wiring with less."
                )
            );
        }
        if (!(band.Lower > 0))
        {
            findings.Add(
                new Finding(
                    place,
                    Severity.Warning,
                    $"The proving load draws {Figures.With(proving.PredictedAmperes.Value, "A", 3)} and the meter that trips may be off by {Figures.With(FastAccuracy.Amperes(circuit, proving.PredictedAmperes.Value), "A", 2)}: the sign of the current is not proved. Use a meter with a lower range."
                )
            );
        }
    }
}
