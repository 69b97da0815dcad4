using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a nameplate says of the engine and of the auxiliary output.</summary>
internal static class EngineShape
{
    private static readonly Key<double> Rated = Key.Required(
        "rated speed",
        Speed("1800 rpm"),
        "Speed under rated load."
    );
    private static readonly Key<double> NoLoad = Key.Required(
        "no-load speed",
        Speed("1890 rpm"),
        "Speed without load."
    );
    private static readonly Key<double> Idle = Key.Optional(
        "idle speed",
        Speed("1300 rpm"),
        "Declared idle-down speed; left out, with the two keys below, when the engine does not idle down."
    );
    private static readonly Key<TimeSpan> IdleAfter = Key.Optional(
        "idles down after",
        Of.Time(1, 600, "12 s"),
        "Time without load until the engine idles down."
    );
    private static readonly Key<TimeSpan> PickUp = Key.Optional(
        "picks up in",
        Of.Time(0.1, 60, "3 s"),
        "Time from load to full speed."
    );

    private static readonly Key<Volts> AuxiliaryVolts = Key.Required(
        "rated voltage",
        Of.Volts("240 V"),
        "Rated voltage, rms."
    );
    private static readonly Key<double> Frequency = Key.Required(
        "rated frequency",
        Of.Quantity(Unit.Hertz, Bounds.From(40, 500), "60 Hz"),
        "Rated frequency."
    );
    private static readonly Key<Watts> Power = Key.Required("rated power", Of.Watts("9 kW"), "Rated power.");
    private static readonly Key<int> Phases = Key.Required(
        "phases",
        new WordShape<int>([("1", 1), ("3", 3)]),
        "Number of phases, 1 or 3."
    );
    private static readonly Key<string> Class = Key.Optional(
        "performance class",
        new WordShape<string>([("G1", "G1"), ("G2", "G2"), ("G3", "G3")]),
        "Performance class (ISO 8528-5) the plate claims; left out when it claims none."
    );

    private static readonly Key<ImmutableArray<WeldAndAuxiliary>> WithWeld = Key.Optional(
        "with weld",
        Of.List(RowShape(), 1, 20, "[{ weld current: 100 A, auxiliary power: 6 kW }]"),
        "What the plate allows on both outputs together, row by row; left out when it says nothing."
    );

    /// <summary>The engine.</summary>
    internal static readonly MappingShape<EngineRating> Engine = new(
        "engine",
        Of.Keys(Rated, NoLoad, Idle, IdleAfter, PickUp),
        f => new EngineRating(
            f.Get(Rated),
            f.Get(NoLoad),
            f.MaybeValue(Idle),
            f.MaybeValue(IdleAfter),
            f.MaybeValue(PickUp),
            f.Place
        ),
        Check
    );

    /// <summary>The auxiliary output.</summary>
    internal static readonly MappingShape<AuxiliaryRating> Auxiliary = new(
        "auxiliary output",
        Of.Keys(AuxiliaryVolts, Frequency, Power, Phases, Class, WithWeld),
        f => new AuxiliaryRating(
            f.Get(AuxiliaryVolts),
            f.Get(Frequency),
            f.Get(Power),
            f.Get(Phases),
            f.Maybe(Class),
            f.Place
        )
        {
            WithWeld = f.Get(WithWeld, []),
        },
        f =>
        {
            if (f.TryGet(WithWeld, out var rows) && f.TryGet(Power, out var power))
            {
                foreach (var row in rows.Where(r => r.Watts > power))
                {
                    f.Findings.Error(
                        row.Place,
                        $"`with weld` allows {row.Watts} beside {row.Weld}, more than the rated {power} alone. Check both against the plate."
                    );
                }
            }
        }
    );

    private static MappingShape<WeldAndAuxiliary> RowShape()
    {
        var weld = Key.Required("weld current", Of.Amperes("100 A"), "Weld current.");
        var watts = Key.Required("auxiliary power", Of.Watts("6 kW"), "Auxiliary power that may be drawn with it.");
        return new MappingShape<WeldAndAuxiliary>(
            "weld and auxiliary",
            Of.Keys(weld, watts),
            f => new WeldAndAuxiliary(f.Get(weld), f.Get(watts), f.Place)
        );
    }

    private static QuantityShape<double> Speed(string example) =>
        Of.Quantity(Unit.RevolutionPerMinute, Bounds.From(300, 6000), example);

    private static void Check(Fields f)
    {
        f.Demand(
            Rated,
            NoLoad,
            (rated, noLoad) => noLoad >= rated,
            "`no-load speed` is below `rated speed`; the two may be swapped."
        );
        f.Demand(Rated, Idle, (rated, idle) => idle < rated, "`idle speed` is not below `rated speed`.");
        Key[] idling = [Idle, IdleAfter, PickUp];
        if (idling.Any(f.Has))
        {
            foreach (var key in idling.Where(k => !f.Has(k)))
            {
                f.Findings.Error(
                    f.Place,
                    $"engine gives part of the idle-down but no `{key.Name}`. Add for example `{key.Example}`, or leave all three out."
                );
            }
        }
    }
}
