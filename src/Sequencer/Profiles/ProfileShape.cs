using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>What a profile file may hold.</summary>
internal static class ProfileShape
{
    private static readonly Key<string> Name = Key.Required(
        "profile",
        Of.Text("Output verification after rebuild"),
        "Title, shown on every page."
    );
    private static readonly Key<int> Revision = Key.Required(
        "revision",
        new CountShape(1, 9999),
        "Revision number of this profile.",
        "revision: 3"
    );
    private static readonly Key<string> For = Key.Required(
        "for",
        Of.Text("dc welding generator"),
        "Kind of unit; its nameplate's `kind` must say the same."
    );
    private static readonly Key<int> Average = Key.Required(
        "average",
        new CountShape(5, 1000, "readings"),
        "Readings averaged at each point once settled."
    );
    private static readonly Key<SettleRule> Settle = Key.Required(
        "settle",
        SettleShape(),
        "When a reading counts as settled.",
        "settle: { within: 0.3 % of reading, over: 4 s, give up after: 60 s }"
    );
    private static readonly Key<ImmutableArray<TripRule>> Trip = Key.Required(
        "trip",
        TripShape.Trips,
        "Limits at which the load is removed; none has a default.",
        "trip: { output current: above 115 % of rated current, output voltage: above 95 V }"
    );

    // Left out it is the longest allowed: nothing that protects can be switched off here.
    private static readonly Key<TimeSpan> Presence = Key.Optional(
        "confirm presence every",
        Of.Time(60, LoadProfile.LongestUnattended.TotalSeconds, "5 min"),
        "How often a person confirms to be at a real bench; left out, every 10 min, which is the longest."
    );
    private static readonly Key<DecisionText> Decision = Key.Required(
        "decision",
        DecisionShape(),
        "The decision rule agreed beforehand (ISO/IEC 17025:2017, 7.1.3).",
        "decision: { rule: guard band, factor: 1, coverage: 95 % }"
    );
    private static readonly Key<ImmutableDictionary<string, ImmutableArray<ProfileStep>>> Points = Key.Optional(
        "points",
        new NamedShape<ImmutableArray<ProfileStep>>(
            Of.List(StepLists.InPoints, 1, 30, "- no load"),
            20,
            "shunt: [no load]"
        ),
        "Named groups of steps, for `measure`."
    );
    private static readonly Key<ImmutableArray<ProfileStep>> Steps = Key.Required(
        "steps",
        Of.List(StepLists.Top, 1, 200, "- no load"),
        "The steps in order.",
        "steps: [energise, no load, cool down]"
    );

    /// <summary>The whole file.</summary>
    internal static readonly MappingShape<LoadProfile> File = new(
        "profile",
        Of.Keys(Of.Format, Name, Revision, For, Average, Settle, Trip, Presence, Decision, Points, Steps),
        f => new LoadProfile(
            f.Get(Name),
            f.Get(Revision),
            f.Get(For),
            f.Get(Average),
            f.Get(Settle),
            f.Get(Trip),
            f.Get(Decision),
            f.Get(Steps),
            f.Get(Points, ImmutableDictionary<string, ImmutableArray<ProfileStep>>.Empty),
            f.Place
        )
        {
            PresenceEvery = f.Get(Presence, LoadProfile.LongestUnattended),
        },
        f =>
        {
            if (f.TryGet(Steps, out var steps) && (f.TryGet(Points, out var points) || !f.Has(Points)))
            {
                StepOrder.Check(
                    steps,
                    points ?? ImmutableDictionary<string, ImmutableArray<ProfileStep>>.Empty,
                    f.PlaceOf(Points),
                    f.Findings
                );
                if (f.TryGet(Trip, out var trips))
                {
                    StepTrips.Check([.. steps, .. points?.Values.SelectMany(p => p) ?? []], trips, f.Findings);
                }
            }
        }
    );

    private static MappingShape<SettleRule> SettleShape()
    {
        var within = Key.Required(
            "within",
            new ShareOfReadingShape(0.0001, 0.1, "0.3 % of reading"),
            "Allowed drift and half-spread."
        );
        // A share of a small reading is less than a meter's noise; beyond these a step could hide in what counts as settled.
        var volts = Key.Optional(
            "or volts within",
            new QuantityShape<Volts>(Unit.Volt, Bounds.Above(0, 1), "20 mV", v => new Volts(v)),
            "The same for volts where it is wider than `within`: a floor for small readings. Left out, `within` alone counts."
        );
        var amperes = Key.Optional(
            "or amperes within",
            new QuantityShape<Amperes>(Unit.Ampere, Bounds.Above(0, 5), "0.2 A", v => new Amperes(v)),
            "The same for amperes."
        );
        var over = Key.Required("over", Of.Time(0.5, 600, "4 s"), "Length of the window looked at.");
        var giveUp = Key.Required(
            "give up after",
            Of.Time(1, 3600, "60 s"),
            "When \"did not settle\" becomes a finding and the run goes on."
        );
        var toCome = Key.Optional(
            "still to come",
            new ShareOfReadingShape(0.0001, 0.1, "0.3 % of reading"),
            "Change that may still be to come as the readings' own approach foretells it, so that a slow unit is waited for. Left out, `within` alone counts."
        );
        return new MappingShape<SettleRule>(
            "settle",
            Of.Keys(within, volts, amperes, toCome, over, giveUp),
            f => new SettleRule(
                f.Get(within),
                f.MaybeValue(volts) ?? new Volts(0),
                f.MaybeValue(amperes) ?? new Amperes(0),
                f.Get(over),
                f.Get(giveUp)
            )
            {
                StillToCome = f.MaybeValue(toCome),
            },
            f =>
                f.Demand(
                    over,
                    giveUp,
                    (o, g) => g > o,
                    "`give up after` is not longer than `over`, so nothing could settle in time."
                )
        );
    }

    private static MappingShape<DecisionText> DecisionShape()
    {
        var rule = Key.Required(
            "rule",
            new WordShape<DecisionForm>([
                ("simple acceptance", DecisionForm.SimpleAcceptance),
                ("guard band", DecisionForm.GuardBand),
            ]),
            "How verdicts are reached (ILAC-G8:09/2019)."
        );
        var factor = Key.Optional(
            "factor",
            new NumberShape(Bounds.Above(0, 3), "1"),
            "Guard band as a multiple of U; only with `guard band`."
        );
        var coverage = Key.Required(
            "coverage",
            Of.Fraction(Bounds.From(0.5, 0.9999), "95 %"),
            "Coverage probability of U."
        );
        return new MappingShape<DecisionText>(
            "decision",
            Of.Keys(rule, factor, coverage),
            f => new DecisionText(f.Get(rule), f.Get(factor, 0.0), f.Get(coverage)),
            f =>
            {
                if (f.TryGet(rule, out var form) && form == DecisionForm.GuardBand != f.Has(factor))
                {
                    f.Findings.Error(
                        f.PlaceOf(rule),
                        form == DecisionForm.GuardBand
                            ? "`guard band` needs its `factor`, a multiple of U. Add for example `factor: 1`."
                            : "`factor` belongs to `guard band` only. Delete it, or write `rule: guard band`."
                    );
                }
            }
        );
    }
}
