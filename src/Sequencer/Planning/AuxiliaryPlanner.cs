using System.Collections.Immutable;
using System.Numerics;
using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Chooses AC elements for a wanted auxiliary power and puts them into a state.</summary>
/// <remarks>P = U²·ΣG at the rated voltage. Any subset may stand alone, for AC elements only ever share the volts.</remarks>
internal sealed class AuxiliaryPlanner(Nameplate nameplate, Bench bench, TripPlanner trips, List<Finding> findings)
{
    /// <summary>How far the power may be off what was wanted, of the rated power.</summary>
    private const double Tolerance = 0.06;

    private readonly int _first = bench.Bank.Elements.Length;

    /// <summary>The AC elements nearest to a power; none for zero; null with a finding when nothing is near.</summary>
    public ElementSet? Elements(double watts, Place place)
    {
        if (watts == 0)
            return ElementSet.None;
        if (nameplate.Auxiliary is not { } output || bench.AuxiliaryBank is not { } bank)
            return null;
        var each = bank.Elements.Select(e => Watts(output, e)).ToArray();
        var (best, miss) = (0u, double.PositiveInfinity);
        for (var set = 1u; set < 1u << each.Length; set++)
        {
            var off = Math.Abs(Sum(each, set) - watts);
            var isFewer = off == miss && BitOperations.PopCount(set) < BitOperations.PopCount(best);
            if (off < miss || isFewer)
                (best, miss) = (set, off);
        }
        if (miss > Tolerance * output.Watts.Value)
        {
            Error(
                place,
                $"An auxiliary load of {Figures.With(watts, "W", 4)} is wanted and the nearest the AC elements make at {Figures.With(output.Volts.Value, "V", 4)} is {Figures.With(Sum(each, best), "W", 4)}; {Figures.Of(Tolerance * 100, 3)} % of the rated {Figures.With(output.Watts.Value, "W", 4)} is allowed. Choose another load, or a bank with finer steps."
            );
            return null;
        }
        return Rated(output, bank, each, best, place) ? new ElementSet(best << _first) : null;
    }

    /// <summary>The state with these AC elements: what goes off goes first, what comes on comes last, one at a time.</summary>
    /// <param name="state">State of the DC elements, its switching theirs alone.</param>
    /// <param name="from">Where control and bank stand before.</param>
    /// <param name="wanted">AC elements wanted.</param>
    public BenchState With(BenchState state, Position from, ElementSet wanted)
    {
        var before = from.Auxiliary;
        if (before.IsEmpty && wanted.IsEmpty)
            return state;
        var sets = ImmutableArray.CreateBuilder<ElementSet>();
        var dc = from.Elements;
        var ac = before;
        foreach (var index in before.Except(wanted).Indices())
            sets.Add(dc.Union(ac = ac.Without(index)));
        foreach (var operation in state.Switching)
            sets.Add((dc = operation).Union(ac));
        foreach (var index in wanted.Except(before).Indices())
            sets.Add(dc.Union(ac = ac.With(index)));
        return state with
        {
            Switching = sets.ToImmutable(),
            Auxiliary = wanted,
            AuxiliaryPower = new Watts(
                wanted.Indices().Sum(k => Watts(nameplate.Auxiliary!, bench.AuxiliaryBank!.Elements[k - _first]))
            ),
            Trips = state.Trips with { Side = trips.Side(state.Mode, !wanted.IsEmpty) },
        };
    }

    private bool Rated(AuxiliaryRating output, AuxiliaryBank bank, double[] each, uint set, Place place)
    {
        var total = Sum(each, set);
        if (total > bank.TotalWatts.Value * (1 + 1e-9))
        {
            Error(
                place,
                $"The AC elements would take {Figures.With(total, "W", 4)}, rated {Figures.With(bank.TotalWatts.Value, "W", 4)}. Use a lower load."
            );
            return false;
        }
        var most = trips
            .Side(nameplate.Modes[0], isAuxiliaryLoaded: true)
            .Where(s => s.Role == ChannelRole.AuxiliaryVolts)
            .Select(s => s.Allowed.Upper)
            .DefaultIfEmpty(output.Volts.Value)
            .Min();
        for (var k = 0; k < each.Length; k++)
        {
            if ((set >> k & 1) == 0)
                continue;
            var element = bank.Elements[k];
            var amperes = most / element.Resistance.Value;
            if (most > element.ContinuousVolts.Value * (1 + 1e-9) || amperes > bank.ContactorAmperes.Value)
            {
                Error(
                    place,
                    $"AC element {_first + k + 1} may see {Figures.With(most, "V", 4)} and carry {Figures.With(amperes, "A", 4)} before the trip on auxiliary voltage acts; it is rated {Figures.With(element.ContinuousVolts.Value, "V", 4)}, its contactor {Figures.With(bank.ContactorAmperes.Value, "A", 4)}. Lower the trip, or use another bank."
                );
                return false;
            }
        }
        return true;
    }

    private static double Watts(AuxiliaryRating output, AuxiliaryElement element) =>
        output.Volts.Value * output.Volts.Value / element.Resistance.Value;

    private static double Sum(double[] each, uint set)
    {
        var sum = 0.0;
        for (var k = 0; k < each.Length; k++)
            sum += (set >> k & 1) != 0 ? each[k] : 0;
        return sum;
    }

    private void Error(Place place, string message) => findings.Add(new Finding(place, Severity.Error, message));
}
