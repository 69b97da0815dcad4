using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.SequencerTests.Engine;

/// <summary>Plans the engine's tests run.</summary>
internal static class SomePlan
{
    /// <summary>The shipped short check on the shipped demo bench.</summary>
    public static readonly RunPlan Short = Shipped("short-check");

    /// <summary>The shipped verification: questions, adjustment, curves, hold.</summary>
    public static readonly RunPlan Verification = Shipped("output-verification");

    /// <summary>The short check on the demo bench as shipped: its bank's communication watchdog is proved first.</summary>
    public static readonly RunPlan Watched = AsShipped("short-check");

    /// <summary>The long profile on the bench with auxiliary elements.</summary>
    public static readonly RunPlan Workshop = AsShipped("heat-run-and-auxiliary", "workshop");

    /// <summary>The short check on the bench with an output-enable relay, as shipped.</summary>
    public static readonly RunPlan WithRelay = AsShipped("short-check", "every-kind");

    /// <summary>The verification on that bench: the output is enabled and disabled several times.</summary>
    public static readonly RunPlan VerificationWithRelay = AsShipped("output-verification", "every-kind");

    /// <summary>Without a communication watchdog, so that the first element switched is that of the proving load.</summary>
    public static RunPlan Shipped(string profile, string bench = "demo")
    {
        var plan = AsShipped(profile, bench);
        return plan with { Bench = plan.Bench with { Instruments = [.. plan.Bench.Instruments.Select(Unwatched)] } };
    }

    private static BenchInstrument Unwatched(BenchInstrument instrument) =>
        instrument with
        {
            Definition = instrument.Definition with
            {
                Switching = instrument.Definition.Switching is { } s
                    ? s with
                    {
                        Watchdog = null,
                        WatchdogSeconds = 0,
                    }
                    : null,
            },
        };

    private static RunPlan AsShipped(string profile, string bench = "demo") =>
        Planner.Plan(
            ProfileReader.Read(profile, Tree.Bytes($"profiles/{profile}.yaml")).Value!,
            NameplateReader.Read("n", Tree.Bytes("profiles/nameplates/demo-300.yaml")).Value!,
            BenchReader.Read(bench, Tree.Bytes($"profiles/benches/{bench}.yaml"), Tree.Definition).Value!
        );

    /// <summary>Every kind of measuring step in one mode, on an invented bench.</summary>
    public static RunPlan Full(string mode) =>
        Planner.Plan(
            Some.Profile(
                Some.Energise(mode),
                new NoLoadStep([], Some.Here),
                Some.Sweep(),
                Some.Curve(100),
                Some.Curve(50),
                Some.LoadLine(),
                Some.CoolDown()
            ),
            Some.Nameplate(Some.ConstantCurrent(), Some.ConstantVoltage(), Some.Drooping()),
            Some.Bench()
        )
            is { } plan
            ? plan with
            {
                Bench = plan.Bench with { Instruments = [.. plan.Bench.Instruments.Select(Unwatched)] },
            }
            : throw new InvalidOperationException();
}
