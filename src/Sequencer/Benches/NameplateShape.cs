using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a nameplate file may hold.</summary>
internal static class NameplateShape
{
    private static readonly Key<string> Name = Key.Required(
        "nameplate",
        Of.Text("DG-300"),
        "Type designation as the plate gives it."
    );
    private static readonly Key<string> Kind = Key.Required(
        "kind",
        Of.Text("dc welding generator"),
        "Kind of unit; a profile's `for` must say the same."
    );
    private static readonly Key<string> Serial = Key.Optional(
        "serial number",
        Of.Text("WG-0417"),
        "Serial number, when the file is of one unit; otherwise it is given with the run."
    );
    private static readonly Key<ImmutableArray<UnitMode>> Modes = Key.Required(
        "modes",
        Of.List(UnitModeShape.Mode, 1, 12, "- name: constant current"),
        "Output modes."
    );
    private static readonly Key<UnitShunt> Shunt = Key.Required(
        "shunt",
        ShuntShape(),
        "The machine's own feedback shunt.",
        "shunt: { rated current: 500 A, rated drop: 60 mV }"
    );
    private static readonly Key<EngineRating> Engine = Key.Required(
        "engine",
        EngineShape.Engine,
        "The engine and its speeds.",
        "engine: { rated speed: 1800 rpm, no-load speed: 1890 rpm }"
    );
    private static readonly Key<AuxiliaryRating> Auxiliary = Key.Optional(
        "auxiliary output",
        EngineShape.Auxiliary,
        "Auxiliary AC output; left out when the unit has none."
    );

    /// <summary>The whole file.</summary>
    internal static readonly MappingShape<Nameplate> File = new(
        "nameplate",
        Of.Keys(Of.Format, Name, Kind, Serial, Modes, Shunt, Engine, Auxiliary),
        f => new Nameplate(
            f.Get(Name),
            f.Get(Kind),
            f.Maybe(Serial),
            f.Get(Modes),
            f.Get(Shunt),
            f.Get(Engine),
            f.Maybe(Auxiliary),
            f.Place
        ),
        Check
    );

    private static MappingShape<UnitShunt> ShuntShape()
    {
        var amperes = Key.Required("rated current", Of.Amperes("500 A"), "Rated current of the shunt.");
        var drop = Key.Required(
            "rated drop",
            new QuantityShape<Volts>(Unit.Volt, Bounds.From(0.01, 1), "60 mV", v => new Volts(v)),
            "Rated drop at that current."
        );
        var classIndex = Key.Optional(
            "class",
            new NumberShape(Bounds.Above(0, 10), "0.5"),
            "Class index, percent of the rated drop (IEC 60051); left out when the shunt is not marked."
        );
        return new MappingShape<UnitShunt>(
            "unit shunt",
            Of.Keys(amperes, drop, classIndex),
            f => new UnitShunt(f.Get(amperes), f.Get(drop), f.MaybeValue(classIndex), f.Place)
        );
    }

    private static void Check(Fields f)
    {
        if (!f.TryGet(Modes, out var modes))
        {
            return;
        }
        var names = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (var mode in modes.Where(m => !names.Add(m.Name)))
        {
            f.Findings.Error(mode.Place, $"A second mode is called `{mode.Name}`. Give each mode a name of its own.");
        }
        if (f.TryGet(Shunt, out var shunt))
        {
            foreach (var mode in modes.Where(m => m.RatedAmperes > shunt.RatedAmperes))
            {
                f.Findings.Error(
                    shunt.Place,
                    $"The shunt is rated {shunt.RatedAmperes}, less than the rated current of mode `{mode.Name}`, {mode.RatedAmperes}. "
                        + "Check both against the plate."
                );
            }
        }
    }
}
