using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using LoadTest.Hunting;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>The verb <c>hunt</c>: the whole stack on many seeds with random mishaps, its invariants held after every event.</summary>
internal static class HuntCommand
{
    private const int UsualSeeds = 1000;

    public static Command Create()
    {
        var seeds = new Option<int>("--seeds")
        {
            Description = "How many seeds.",
            HelpName = "N",
            DefaultValueFactory = _ => UsualSeeds,
            CustomParser = r => CommonOptions.Whole(r, 1, int.MaxValue),
        };
        var from = new Option<ulong>("--from")
        {
            Description = "The first seed; a seed shows the same run every time.",
            HelpName = "S",
            DefaultValueFactory = _ => 1UL,
            // As many seeds as may be asked for come after it.
            CustomParser = r => CommonOptions.Whole(r, ulong.MinValue, ulong.MaxValue - int.MaxValue),
        };
        var keep = new Option<string?>("--keep")
        {
            Description = "Where the journal of the first failing seed goes.",
            HelpName = "FILE",
        };
        var goOn = new Option<bool>("--go-on")
        {
            Description = "Run the seeds after a failing one too, and list every failing one.",
        };
        var table = new Option<bool>("--table")
        {
            Description = "Show which faults happened in which stages of a run, alone and in pairs.",
        };
        var sums = new Option<string?>("--sums")
        {
            Description =
                "File for a line a seed: how it ended and the SHA-256 of its journal, to compare two builds by.",
            HelpName = "FILE",
        };
        return Verb.Create(
            "hunt",
            "Runs short plans on the simulated bench in virtual time with random faults of lines, meters, bank, source, storage and people, and holds the safety invariants after every event.",
            "loadtest hunt --seeds 20000 --from 1",
            [seeds, from, goOn, keep, table, sums],
            (parsed, screen) =>
                Show(
                    screen,
                    Hunt.Run(
                        parsed.GetValue(seeds),
                        parsed.GetValue(from),
                        Environment.ProcessorCount,
                        parsed.GetValue(goOn),
                        done => screen.Line($"{done} seeds done")
                    ),
                    parsed.GetValue(keep),
                    parsed.GetValue(table),
                    parsed.GetValue(sums)
                )
        );
    }

    private static ExitCode Show(Screen screen, HuntResult result, string? keep, bool hasTable, string? sums)
    {
        var ends = new TextTable(
            "How the runs ended",
            [new TextColumn("end", false), new TextColumn("runs", true)],
            [.. result.Ends.Select(e => ImmutableArray.Create(e.Key, Text(e.Value)))]
        );
        screen.Table(ends);
        screen.Line(
            Invariantly(
                $"{result.Mishaps} mishaps, {result.Events} events; {result.Span.TotalSeconds:0} virtual seconds in {result.Took.TotalSeconds:0.0} s, {result.Span / result.Took:0} × real time; {result.MedianSpan.TotalSeconds:0.0} s a run in the median, {result.MedianEnergised.TotalSeconds:0.0} s energised."
            )
        );
        screen.Document["seeds"] = result.Seeds;
        screen.Document["ends"] = new JsonObject(
            result.Ends.Select(e => KeyValuePair.Create(e.Key, (JsonNode?)JsonValue.Create(e.Value)))
        );
        ShowCoverage(screen, result.Coverage, hasTable);
        if (sums is not null)
            File.WriteAllLines(sums, result.Sums.Select(s => $"{s.Key} {s.Value}"));
        foreach (var end in result.Failing)
        {
            screen.Trouble(end.Violation!.ToString());
            screen.Trouble($"  {end.Violation.Circumstances}");
            screen.Trouble($"  Again: loadtest hunt --seeds 1 --from {end.Violation.Seed}, version {Program.Version}");
        }
        if (result.Failing is [{ Violation: { } found } first, ..])
        {
            screen.Document["firstFailingSeed"] = found.Seed;
            var fewest = Hunt.Shrink(first).End.Violation!;
            screen.Trouble($"Seed {found.Seed} still fails with no more than this: {fewest.Circumstances}");
            screen.Trouble($"  {fewest}");
            if (keep is not null)
                File.WriteAllBytes(keep, first.Journal.ToArray());
        }
        screen.Line(result.LastLine);
        return result.Failing.IsEmpty ? ExitCode.Pass : ExitCode.NotPassed;
    }

    private static void ShowCoverage(Screen screen, Coverage coverage, bool hasTable)
    {
        screen.Line(
            Invariantly(
                $"Faults alone: {coverage.SinglesSeen} of {Coverage.SingleCells} kinds × stages; pairs: {coverage.PairsSeen} of {Coverage.PairCells} ({100.0 * coverage.PairsSeen / Coverage.PairCells:0.0} %)."
            )
        );
        screen.Document["singles"] = coverage.SinglesSeen;
        screen.Document["pairs"] = coverage.PairsSeen;
        if (!hasTable)
            return;
        var stages = Enum.GetValues<RunStage>();
        screen.Table(
            new TextTable(
                "Faults by stage: how often alone / with how many others as a pair",
                [new TextColumn("fault", false), .. stages.Select(s => new TextColumn(s.ToString(), true))],
                [
                    .. MishapKind.All.Select(
                        (kind, k) =>
                            ImmutableArray.CreateRange(
                                stages
                                    .Select(s => Invariantly($"{coverage.Alone(k, s)}/{coverage.Partners(k, s)}"))
                                    .Prepend(kind.Name)
                            )
                    ),
                ]
            )
        );
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Invariantly(FormattableString text) => FormattableString.Invariant(text);
}
