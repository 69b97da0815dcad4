using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Holds every planned state, and every ten minutes of the plan, against the ratings in the current path.</summary>
internal static class RatingChecks
{
    public static void Check(
        Nameplate nameplate,
        Circuit circuit,
        ImmutableArray<PlannedStep> steps,
        ImmutableArray<PlanSpan> spans,
        List<Finding> findings
    )
    {
        foreach (var group in States(steps).GroupBy(s => s.Place))
        {
            var worst = group
                .SelectMany(s => Overloads(nameplate, circuit, s.Title, s.State))
                .GroupBy(o => o.What, StringComparer.Ordinal)
                .Select(g => g.MaxBy(o => o.Part)!);
            findings.AddRange(worst.Select(o => new Finding(group.Key, o.Severity, o.Message)));
        }
        DutyChecks.Check(circuit, steps, spans, findings);
    }

    private sealed record Overload(string What, double Part, string Message, Severity Severity = Severity.Error);

    private static IEnumerable<(string Title, BenchState State, Place Place)> States(
        ImmutableArray<PlannedStep> steps
    ) => steps.SelectMany(s => Of(s).OfType<BenchState>().Select(state => (s.Title, state, s.Place)));

    private static BenchState?[] Of(PlannedStep step) =>
        step switch
        {
            PointStep p => [p.State, p.Transient?.From, p.Heat?.Off],
            EnergiseStepPlan e => [e.Proving],
            _ => [],
        };

    private static IEnumerable<Overload> Overloads(Nameplate nameplate, Circuit circuit, string title, BenchState state)
    {
        var bench = circuit.Bench;
        var amperes = state.PredictedAmperes.Value;
        Overload? Above(string what, double found, double allowed, string unit, string help) =>
            found > allowed * (1 + 1e-9)
                ? new(
                    what,
                    found / allowed,
                    $"{title}: {what} would be {Figures.Of(found, 4)} {unit}, rated {Figures.Of(allowed, 4)} {unit}. {help}"
                )
                : null;

        Overload?[] all =
        [
            Above(
                "power in the bank",
                state.BankPower.Value,
                bench.Bank.TotalWatts.Value,
                "W",
                "Use a larger bank or a lower setting."
            ),
            Above("current in the leads", amperes, bench.Leads.DutyAmperes.Value, "A", "Use thicker leads."),
            Above(
                "current in the reference shunt",
                amperes,
                bench.ReferenceShunt.RatedAmperes.Value,
                "A",
                "Use a larger shunt."
            ),
            Above(
                "current in the unit's own shunt",
                amperes,
                nameplate.Shunt.RatedAmperes.Value,
                "A",
                "Lower the setting."
            ),
            .. LostOverloads(circuit, state, Above),
            .. Ranges(circuit, nameplate, state, Above),
            WouldTrip(circuit, title, state),
            MayTripFalsely(circuit, title, state),
        ];
        return all.OfType<Overload>();
    }

    private delegate Overload? Comparison(string what, double found, double allowed, string unit, string help);

    private static IEnumerable<Overload?> LostOverloads(Circuit circuit, BenchState state, Comparison above)
    {
        if (state.ControlLost is not { } lost)
            yield break;
        var weakest = lost.BankVolts.Value / lost.PartOfShortTime;
        yield return above(
            $"bank voltage with the unit's control lost, for the {Figures.Of(lost.For.TotalSeconds, 3)} s to load off,",
            lost.BankVolts.Value,
            weakest,
            "V",
            "Use elements with a higher short-time rating, or instruments that are read faster."
        );
        foreach (var index in state.Elements.Indices())
        {
            yield return above(
                $"current the contactor of element {index + 1} has to break with the unit's control lost",
                lost.BankVolts / circuit.Bank.Elements[index].Resistance is var broken ? broken.Value : 0,
                circuit.Bench.Bank.ContactorAmperes.Value,
                "A",
                "Use a bank with larger contactors, or spread the load over elements of higher resistance."
            );
        }
    }

    private static IEnumerable<Overload?> Ranges(
        Circuit circuit,
        Nameplate nameplate,
        BenchState state,
        Comparison above
    )
    {
        foreach (var channel in circuit.Bench.Channels)
        {
            var input = circuit.Bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);
            var amperes = state.PredictedAmperes.Value;
            double? value = channel.Role switch
            {
                ChannelRole.StudVolts => state.PredictedVolts.Value,
                ChannelRole.BankVolts => state.PredictedVolts.Value - amperes * circuit.Series,
                ChannelRole.BankAmperes => amperes,
                ChannelRole.ReferenceShuntDrop => new MeterPrediction(circuit.Bench).ReferenceDrop(amperes),
                ChannelRole.UnitShuntDrop => amperes * nameplate.Shunt.RatedRatio,
                _ => null,
            };
            if (value is { } reading)
            {
                yield return above(
                    $"reading of channel {channel.Name}",
                    reading,
                    input.Range,
                    Words.For(input.Unit),
                    "Choose a higher range of that instrument."
                );
            }
        }
    }

    private static Overload? WouldTrip(Circuit circuit, string title, BenchState state)
    {
        var volts = state.PredictedVolts.Value * circuit.FastPart(state.Elements);
        var amperes = state.PredictedAmperes.Value;
        if (!state.Trips.Volts.Contains(volts))
        {
            return new(
                "trip volts",
                1,
                $"{title}: {Figures.With(volts, "V", 4)} are predicted where the trip limits allow {Figures.With(state.Trips.Volts.Lower, "V", 4)} to {Figures.With(state.Trips.Volts.Upper, "V", 4)}, so the step would trip. Correct the trip limit or the step."
            );
        }
        return state.Trips.Amperes.Contains(amperes)
            ? null
            : new(
                "trip amperes",
                1,
                $"{title}: {Figures.With(amperes, "A", 4)} are predicted where the trip limits allow {Figures.With(state.Trips.Amperes.Lower, "A", 4)} to {Figures.With(state.Trips.Amperes.Upper, "A", 4)}, so the step would trip. Correct the trip limit or the step."
            );
    }

    /// <summary>A conductance band narrower than element tolerance and meter errors explain trips without a fault.</summary>
    private static Overload? MayTripFalsely(Circuit circuit, string title, BenchState state)
    {
        if (state.Trips.Conductance is not { } band)
            return null;
        var siemens = Conductance(circuit, state);
        var explained =
            FastAccuracy.RelativeConductance(circuit, state.PredictedAmperes.Value, siemens)
            + state.Elements.Indices().Max(k => circuit.Bank.Elements[k].Tolerance);
        var allowed = Math.Min(1 - band.Lower / siemens, band.Upper / siemens - 1);
        // Nine parts in ten, so that the band this planner works out itself never warns of itself.
        return explained * 0.9 <= allowed
            ? null
            : new(
                "conductance",
                explained / Math.Max(allowed, 1e-6),
                $"{title}: element tolerance and the errors of the fast meters explain {Figures.Of(explained * 100, 3)} % of conductance, and the trip limits allow {Figures.Of(allowed * 100, 3)} %: this point may trip without a fault. Widen the limit on load conductance, or use fast meters with smaller ranges.",
                Severity.Warning
            );
    }

    private static double Conductance(Circuit circuit, BenchState state) =>
        circuit.FastVolts?.Role == ChannelRole.BankVolts
            ? 1 / state.BankResistance!.Value.Value
            : 1 / circuit.TotalOf(state.Elements);
}
