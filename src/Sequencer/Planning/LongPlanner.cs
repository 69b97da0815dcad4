using LoadTest.Analysis;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Adds to a point what makes it a heat run or a transient: the off part, or the load before a sudden change.</summary>
internal sealed class LongPlanner(
    StatePlanner states,
    AuxiliaryPlanner auxiliary,
    Circuit circuit,
    List<Finding> findings
)
{
    /// <summary>Most elements of which every subset is looked at for the load before a change.</summary>
    private const int MostForSubsets = 16;

    /// <summary>The point as a heat run; null with a finding when its off part cannot be reached.</summary>
    /// <param name="point">The on part.</param>
    /// <param name="step">What the profile asks.</param>
    /// <param name="unit">The unit in its mode.</param>
    /// <param name="position">Where control and bank stand after the on part; afterwards, where they stand at the end.</param>
    public PointStep? Heat(PointStep point, HeatRunStep step, UnitModel unit, ref Position position)
    {
        var on = position;
        BenchState? off = null;
        BenchState? again = null;
        if (step.DutyCycle is not null)
        {
            var rest =
                step.OffPart == OffPart.NoLoad
                    ? states.Open(unit, unit.MinimumSetting, on)
                    : states.Exactly(unit, unit.MinimumSetting, on.Elements, on);
            if (rest.State is null)
            {
                Error(step.Place, $"{point.Title}: the off part cannot be reached. {rest.Reason} {rest.Help}");
                return null;
            }
            off = rest.State;
            position = new Position(unit.MinimumSetting, off.Elements);
            var back = states.Exactly(unit, on.Setting, on.Elements, position);
            if (back.State is null)
            {
                Error(step.Place, $"{point.Title}: the load cannot be put on again. {back.Reason} {back.Help}");
                return null;
            }
            again = back.State;
        }
        return point with
        {
            Heat = new HeatPlan(step.DutyCycle, step.OffPart, off, again, step.AtMost, step.Equilibrium),
            Duration = step.AtMost + point.Duration,
        };
    }

    /// <summary>The point as a transient; null with a finding when there is no load to come from or no channel to sample.</summary>
    /// <param name="point">The load after the change.</param>
    /// <param name="step">What the profile asks.</param>
    /// <param name="unit">The unit in its mode.</param>
    /// <param name="from">Where control and bank stand before the step.</param>
    public PointStep? Transient(PointStep point, TransientStep step, UnitModel unit, Position from)
    {
        var (setting, to) = (point.State.Setting.Value, point.State.Elements);
        if (Before(step, to) is not { } elements)
        {
            Error(
                step.Place,
                $"{point.Title}: no elements make {Figures.Of(step.From * 100, 3)} % load so that the change only closes or only opens contactors. Choose another load to come from."
            );
            return null;
        }
        var start = elements.IsEmpty ? states.Open(unit, setting, from) : states.Exactly(unit, setting, elements, from);
        if (start.State is null)
        {
            Error(step.Place, $"{point.Title}: the load before the change cannot be had. {start.Reason} {start.Help}");
            return null;
        }
        if (TooMuch(unit, setting, elements, to) is { } element)
        {
            Error(
                step.Place,
                $"{point.Title}: should element {element + 1} close first or open last, it would see more volts than it stands. Choose loads that lie nearer together."
            );
            return null;
        }
        if (Sampled(step) is not { } channel)
            return null;
        var isVolts = step.Sample == Measurand.OutputVoltage;
        var rated = isVolts ? unit.Mode.RatedVolts.Value : unit.Mode.RatedAmperes.Value;
        return point with
        {
            State = point.State with { Switching = [to], Order = TransitionOrder.SettingFirst },
            Transient = new TransientPlan(
                auxiliary.With(start.State, from, ElementSet.None),
                channel,
                step.Every,
                step.After,
                step.Band * rated,
                rated
            ),
            Duration = point.Duration + point.Duration + TransientPlan.Before + step.After,
        };
    }

    /// <summary>A set inside or around the one after the change, nearest to the wanted load; null when there is none.</summary>
    private ElementSet? Before(TransientStep step, ElementSet to)
    {
        if (step.From == 0)
            return ElementSet.None;
        // Coming from more load than it goes to, the larger set is found first and the smaller lies inside it.
        var all = circuit.Bank.All;
        var wanted = step.To > 0 ? 1 / circuit.Bank.ResistanceOf(to).Value * step.From / step.To : double.NaN;
        if (double.IsNaN(wanted))
            return null;
        var free = step.From < step.To ? to : all.Except(to);
        var fixedPart = step.From < step.To ? ElementSet.None : to;
        if (free.Count > MostForSubsets)
            return null;
        ElementSet? best = null;
        var miss = 0.15 * wanted;
        for (var sub = free.Mask; ; sub = (sub - 1) & free.Mask)
        {
            var set = fixedPart.Union(new ElementSet(sub));
            var off =
                set == to || set.IsEmpty
                    ? double.PositiveInfinity
                    : Math.Abs(1 / circuit.Bank.ResistanceOf(set).Value - wanted);
            if (off < miss)
                (best, miss) = (set, off);
            if (sub == 0)
                break;
        }
        return best;
    }

    /// <summary>First element that would be overloaded with the smaller set and itself alone on, for no order of contacts is certain.</summary>
    private int? TooMuch(UnitModel unit, double setting, ElementSet from, ElementSet to)
    {
        var (less, more) = from.IsWithin(to) ? (from, to) : (to, from);
        foreach (var index in more.Except(less).Indices())
        {
            var set = less.With(index);
            var total = circuit.TotalOf(set);
            var amperes = unit.Worst(setting, unit.RegulatesInto(setting, total)).AmperesInto(new(total)).Value;
            var volts = amperes * circuit.Bank.ResistanceOf(set).Value;
            if (volts > circuit.Bank.Elements[index].VoltsFor(circuit.PerOperation).Value * (1 + 1e-9))
                return index;
        }
        return null;
    }

    private int? Sampled(TransientStep step)
    {
        ChannelRole[] roles =
            step.Sample == Measurand.OutputVoltage
                ? [ChannelRole.StudVolts, ChannelRole.BankVolts]
                : [ChannelRole.ReferenceShuntDrop, ChannelRole.BankAmperes];
        foreach (var role in roles)
        {
            for (var k = 0; k < circuit.Bench.Channels.Length; k++)
            {
                var channel = circuit.Bench.Channels[k];
                if (channel.Role != role || !channel.IsFast)
                    continue;
                var input = circuit.Bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);
                if (input.Aperture <= step.Every)
                    return k;
            }
        }
        Error(
            step.Place,
            $"No fast channel samples the {Words.For(step.Sample)} every {Figures.Of(step.Every.TotalMilliseconds, 3)} ms: none has so short an aperture. Give the bench a fast channel with a shorter one, or ask for fewer samples."
        );
        return null;
    }

    private void Error(Place place, string message) => findings.Add(new Finding(place, Severity.Error, message));
}
