using System.Collections.Immutable;

namespace LoadTest.Sequencer.Gating;

/// <summary>The cautions of a load-bank test on an engine-driven source; common practice, no source.</summary>
internal static class Cautions
{
    public static ImmutableArray<Caution> All { get; } =
    [
        new(
            "qualified person",
            "Only a person qualified for this machine and this voltage does this work, by the codes and rules in force here. Where they ask for more than this list, they come first."
        ),
        new(
            "what this program is not",
            "It replaces neither the hard-wired stop, nor lock-out, guards, protective equipment, nor your own judgement. \"Load off\" on the screen is not \"safe to touch\"."
        ),
        new("lock-out", "The engine is stopped and locked out while anything is wired, moved or opened."),
        new(
            "rotating parts",
            "Guards, fan, belt and brush holder covers are on and tight. Hands, hair and sleeves stay away from what turns."
        ),
        new(
            "exhaust",
            "The exhaust goes outdoors, away from doors and inlets. Carbon monoxide kills without a warning: ventilate, and carry an alarm indoors."
        ),
        new(
            "fuel and fire",
            "No refuelling while it runs or is hot, no leaks, no open flame; an extinguisher stands in reach."
        ),
        new(
            "hot parts",
            "Bank, outlet air, exhaust and leads burn skin and stay hot after the test. Let the fan run until they are cool."
        ),
        new("air stream", "Hose, hoist, covers, papers and people are clear of the bank's air inlet and outlet."),
        new(
            "person",
            "Hearing and eye protection on, no jewellery, no loose clothing. Nobody with a pacemaker or other implant near the leads."
        ),
        new("wet ground", "Dry ground, dry shoes, dry gloves. In rain or on wet ground there is no test."),
        new("weld leads", "Supply and return lie together, uncoiled, away from meter wires; lugs are clean and tight."),
        new(
            "opening a lead",
            "Remove the load and stop the engine before a lead or plug is opened. Opening one under current draws an arc."
        ),
        new("live studs", "The studs are live until the engine has stopped and the voltage across them is measured."),
        new(
            "shunt access",
            "Sense wires are fitted in parallel, with the engine stopped, and fused at their source end. The feedback leads are never unplugged while it runs: without them the output goes to its maximum."
        ),
        new(
            "meters",
            "Meters are isolated, rated above the open-circuit voltage for where they are connected, with sound leads. Nothing on the bench is fed by the unit under test."
        ),
        new(
            "starters and remotes",
            "High-frequency starter, pulse and hot start are off; wire feeder and remote are unplugged unless the step needs them."
        ),
        new("shutdowns", "Oil, temperature and guard shutdowns work and are never defeated."),
        new("starting battery", "For static work the starting battery is disconnected, negative lead first."),
        new("stored charge", "Charge in capacitors is measured, not assumed gone, before anything is touched."),
        new(
            "hard-wired stop",
            "The bank's and the engine's own stops are tried, within reach, and used first when in doubt."
        ),
    ];
}
