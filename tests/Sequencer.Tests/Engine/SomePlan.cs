using System.Text;
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

    /// <summary>These steps on the bench with auxiliary elements and temperatures, with the limits of its long profile.</summary>
    /// <param name="steps">Steps as a profile has them, without the dash of the list indented.</param>
    /// <param name="settle">What is written for `settle`; null for a usual rule.</param>
    public static RunPlan Long(string steps, string? settle = null) =>
        Unwatched(
            Planner.Plan(
                ProfileReader.Read("p", Encoding.UTF8.GetBytes(Head(settle) + steps)).Value!,
                NameplateReader.Read("n", Tree.Bytes("profiles/nameplates/demo-300.yaml")).Value!,
                BenchReader.Read("b", Tree.Bytes("profiles/benches/workshop.yaml"), Tree.Definition).Value!
            )
        );

    private static string Head(string? settle) =>
        $$"""
            format: 1
            profile: Long steps
            revision: 1
            for: dc welding generator
            average: 10 readings
            settle: {{settle ?? "{ within: 0.5 % of reading, over: 2 s, give up after: 60 s }"}}
            decision: { rule: simple acceptance, coverage: 95 % }
            trip:
              output current: above 115 % of rated current
              output voltage: above 85 V
              unit temperature: above 155 °C
              bank outlet temperature: above 130 °C
              lug temperature: above 90 °C
              reference shunt temperature: above 90 °C
              auxiliary voltage: below 80 % of rated auxiliary voltage or above 115 % of rated auxiliary voltage
              auxiliary current: above 48 A
              auxiliary frequency: below 90 % of rated frequency or above 108 % of rated frequency
            steps:

            """;

    /// <summary>The short check on the bench with an output-enable relay, as shipped.</summary>
    public static readonly RunPlan WithRelay = AsShipped("short-check", "every-kind");

    /// <summary>The verification on that bench: the output is enabled and disabled several times.</summary>
    public static readonly RunPlan VerificationWithRelay = AsShipped("output-verification", "every-kind");

    /// <summary>Without a communication watchdog, so that the first element switched is that of the proving load.</summary>
    public static RunPlan Shipped(string profile, string bench = "demo") => Unwatched(AsShipped(profile, bench));

    private static RunPlan Unwatched(RunPlan plan) =>
        plan with
        {
            Bench = plan.Bench with { Instruments = [.. plan.Bench.Instruments.Select(Unwatched)] },
        };

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
        Unwatched(
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
        );
}
