using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Steps a person does, and the ones that begin and end the live part.</summary>
internal static class PersonSteps
{
    /// <summary><c>inspect</c>.</summary>
    internal static readonly StepKind Inspect = Told(
        "inspect",
        "Leads, lugs and guards in place",
        "What a person looks at.",
        (t, p) => new InspectStep(t, p)
    );

    /// <summary><c>question</c>.</summary>
    internal static readonly StepKind Question = Told(
        "question",
        "Was the brush gear renewed?",
        "What a person answers with yes or no.",
        (t, p) => new QuestionStep(t, p)
    );

    /// <summary><c>adjust</c>.</summary>
    internal static readonly StepKind Adjust = Told(
        "adjust",
        "Current feedback gain, engine stopped",
        "What a person adjusts, load off.",
        (t, p) => new AdjustStep(t, p)
    );

    /// <summary><c>by hand</c>.</summary>
    internal static readonly StepKind ByHand = HandSteps.Make();

    /// <summary><c>energise</c>.</summary>
    internal static readonly StepKind Energise = MakeEnergise();

    /// <summary><c>cool down</c>.</summary>
    internal static readonly StepKind CoolDown = MakeCoolDown();

    private static StepKind Told(string word, string example, string help, Func<string, Place, ProfileStep> make)
    {
        var text = Key.Required(word, Of.Text(example), help);
        return new StepKind(
            word,
            false,
            new MappingShape<ProfileStep>($"step {word}", [text], f => make(f.Get(text), f.Place))
        );
    }

    private static StepKind MakeEnergise()
    {
        var mode = ModeKey();
        var inner = new MappingShape<string>("energise", [mode], f => f.Get(mode, ""), mayBeEmpty: true);
        var key = Key.Required(
            "energise",
            inner,
            "The second half of the caution gate; then the output is live.",
            "energise"
        );
        return new StepKind(
            "energise",
            true,
            new MappingShape<ProfileStep>(
                "step energise",
                [key],
                f => new EnergiseStep(f.Get(key) is { Length: > 0 } m ? m : null, f.Place)
            )
        );
    }

    private static StepKind MakeCoolDown()
    {
        var time = Key.Optional("for", Of.Time(1, 7200, "5 min"), "Least time; the bank's own when left out.");
        var to = Key.Optional(
            "to",
            CoolTemperatures(),
            "Temperatures it waits for, beside the time; left out, it goes by time alone."
        );
        var most = Key.Optional(
            "at most",
            Of.Time(1, 14400, "45 min"),
            "When it gives up waiting for the temperatures; must stand with `to`."
        );
        var inner = new MappingShape<CoolDownStep>(
            "cool down",
            Of.Keys(time, to, most),
            f => new CoolDownStep(f.MaybeValue(time), f.Place) { To = f.Get(to, []), AtMost = f.MaybeValue(most) },
            f =>
            {
                if (f.Has(to) != f.Has(most))
                {
                    f.Findings.Error(
                        f.Place,
                        f.Has(to)
                            ? "`to` may never be reached on a hot day. Say when to give up, for example `at most: 45 min`."
                            : "`at most` stands without `to`. Add the temperatures, or write the time as `for`."
                    );
                }
                f.Demand(time, most, (t, m) => m >= t, "`at most` is shorter than `for`.");
            },
            mayBeEmpty: true
        );
        var key = Key.Required("cool down", inner, "Unloaded, output disabled, fan on.", "cool down");
        return new StepKind(
            "cool down",
            true,
            new MappingShape<ProfileStep>("step cool down", [key], f => f.Get(key) with { Place = f.Place })
        );
    }

    private static MappingShape<ImmutableArray<CoolTo>> CoolTemperatures()
    {
        Key<CoolTo>[] keys =
        [
            .. new[]
            {
                Measurand.UnitTemperature,
                Measurand.BankOutletTemperature,
                Measurand.LugTemperature,
                Measurand.ReferenceShuntTemperature,
            }.Select(m =>
                Key.Optional(
                    MeasurandText.Word(m),
                    new QuantityShape<CoolTo>(Unit.Celsius, Bounds.From(10, 200), "60 °C", v => new CoolTo(m, v)),
                    $"Waits until the {MeasurandText.Word(m)} is no more than this."
                )
            ),
        ];
        return new MappingShape<ImmutableArray<CoolTo>>(
            "cool down to",
            [.. keys],
            f => [.. f.Given.OfType<Key<CoolTo>>().Select(f.Get)]
        );
    }

    /// <summary>The key <c>mode</c>.</summary>
    internal static Key<string> ModeKey() =>
        Key.Optional(
            "mode",
            Of.Text("constant current"),
            "Mode of the unit by its name on the nameplate; left out, the one it is in, or its only one."
        );
}
