using System.CommandLine;

namespace LoadTest.Commands;

/// <summary>The verb <c>probe</c>: looks at every instrument of a bench and switches nothing.</summary>
internal static class ProbeCommand
{
    public static Command Create()
    {
        var (bench, world) = (CommonOptions.Bench(), CommonOptions.World());
        var wires = new Option<string?>("--wires")
        {
            Description = "Where a simulated bench is served: what `simulate --json` printed.",
            HelpName = "FILE",
        };
        var watch = new Option<bool>("--watch") { Description = "Looks again every second until Ctrl-C." };
        var rounds = new Option<int?>("--rounds")
        {
            Description = "With --watch: ends after so many looks.",
            HelpName = "N",
            CustomParser = r => CommonOptions.Whole(r, 1, int.MaxValue),
        };
        var trace = new Option<bool>("--trace")
        {
            Description = "Every byte on standard error, in hexadecimal, with what it means.",
        };
        var ask = new Option<bool>("--ask") { Description = "Asks at this terminal for what hand meters read." };
        var findMap = new Option<string?>("--find-map")
        {
            Description =
                "Looks for a register of this instrument that holds the value in --known: table, address, form, word and byte order, scale.",
            HelpName = "INSTRUMENT",
        };
        var known = new Option<double?>("--known")
        {
            Description = "The value, as the instrument's own display shows it, in the unit you want it in; not 0.",
            HelpName = "NUMBER",
        };
        var near = new Option<int>("--near")
        {
            Description = "Address the manual gives for it; 32 on either side are read.",
            HelpName = "ADDRESS",
            DefaultValueFactory = _ => 16,
            CustomParser = r => CommonOptions.Whole(r, 0, 65535),
        };
        var within = new Option<double>("--within")
        {
            Description = "How far off the value may be, percent.",
            HelpName = "PERCENT",
            DefaultValueFactory = _ => 0.1,
        };
        return Verb.Create(
            "probe",
            "Opens every line of a bench, asks each instrument who it is, reads back its settings and every input, and proves every element off. Energises nothing: only questions are sent.",
            "loadtest probe every-kind.yaml",
            [bench, world, wires, watch, rounds, trace, ask, findMap, known, near, within],
            (parsed, screen) =>
                new ProbeOrder(screen)
                {
                    BenchFile = parsed.GetRequiredValue(bench),
                    World = parsed.GetValue(world),
                    WiresFile = parsed.GetValue(wires),
                    IsWatching = parsed.GetValue(watch),
                    Rounds = parsed.GetValue(rounds),
                    IsTracing = parsed.GetValue(trace),
                    IsAsking = parsed.GetValue(ask),
                    FindMap = parsed.GetValue(findMap),
                    Known = parsed.GetValue(known),
                    Near = parsed.GetValue(near),
                    Within = parsed.GetValue(within) / 100,
                }.CarryOut()
        );
    }
}
