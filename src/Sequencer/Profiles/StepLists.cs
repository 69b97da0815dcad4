using System.Collections.Immutable;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Which kinds of step may stand where.</summary>
internal static class StepLists
{
    private static readonly ImmutableArray<StepKind> Measuring =
    [
        PersonSteps.Inspect,
        PersonSteps.ByHand,
        PersonSteps.Question,
        LoadSteps.NoLoad,
        LoadSteps.Curve,
        LoadSteps.LoadLine,
        LoadSteps.ShuntSweep,
        LoadSteps.Hold,
        LongSteps.Transient,
        LongSteps.Auxiliary,
        LongSteps.WeldAndAuxiliary,
    ];

    /// <summary>Under a name in <c>points</c>.</summary>
    internal static readonly StepShape InPoints = new(
        "step in points",
        Measuring,
        ["energise", "adjust", "measure", "for each", "heat run", "cool down"],
        ": `points` holds what is measured once as found and once as left. Move it to `steps`."
    );

    /// <summary>Under <c>do</c> of <c>for each</c>.</summary>
    internal static readonly StepShape InLoop = new(
        "step in for each",
        [PersonSteps.Inspect, PersonSteps.ByHand, PersonSteps.Question, LoadSteps.NoLoad, LoadSteps.CurveInLoop],
        [
            "energise",
            "adjust",
            "measure",
            "for each",
            "cool down",
            "settings along the load line",
            "shunt sweep",
            "hold",
            "heat run",
            "transient",
            "auxiliary load",
            "weld and auxiliary load",
        ],
        ": `for each` gives one setting to a `curve`, and is not nested. Move it out."
    );

    /// <summary>In <c>steps</c>.</summary>
    internal static readonly StepShape Top = new(
        "step",
        [
            .. Measuring,
            LongSteps.HeatRun,
            PersonSteps.Adjust,
            PersonSteps.Energise,
            PersonSteps.CoolDown,
            Measure(),
            ForEach(),
        ],
        [],
        ""
    );

    private static StepKind Measure()
    {
        var key = Key.Required("measure", new MeasureShape(), "A group of `points`, once as found and once as left.");
        return new StepKind(
            "measure",
            false,
            new MappingShape<ProfileStep>(
                "step measure",
                [key],
                f => new MeasureStep(f.Get(key).Points, f.Get(key).Condition, f.Place)
            )
        );
    }

    private static StepKind ForEach()
    {
        var over = Key.Required(
            "for each",
            new WordShape<int>([("control setting", 0)]),
            "What changes from round to round."
        );
        var at = Key.Required(
            "at",
            Of.List(new SettingMarkShape(), 1, 20, "[minimum, middle, maximum]"),
            "Its values.",
            "at: [minimum, middle, maximum]"
        );
        var steps = Key.Required(
            "do",
            Of.List(InLoop, 1, 20, "- curve: { points: 9 }"),
            "Steps done at each.",
            "do: [curve: { points: 9 }]"
        );
        return new StepKind(
            "for each",
            false,
            new MappingShape<ProfileStep>(
                "step for each",
                Of.Keys(over, at, steps),
                f => new ForEachStep(f.Get(at), f.Get(steps), f.Place)
            )
        );
    }
}
