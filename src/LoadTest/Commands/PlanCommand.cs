using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using LoadTest.Running;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Commands;

/// <summary>The verb <c>plan</c>: what a run would do, and what these meters could decide.</summary>
internal static class PlanCommand
{
    public static Command Create()
    {
        var (profile, nameplate, bench) = (CommonOptions.Profile(), CommonOptions.Nameplate(), CommonOptions.Bench());
        var svg = new Option<string?>("--svg")
        {
            Description = "Draws load against time into this file.",
            HelpName = "FILE",
        };
        return Verb.Create(
            "plan",
            "Works a profile out for one unit on one bench: every step, limit, rating and prediction. Nothing is switched.",
            "loadtest plan output-verification.yaml demo-300.yaml demo.yaml --svg plan.svg",
            [profile, nameplate, bench, svg],
            (parsed, screen) =>
                Plan(
                    screen,
                    InputFiles
                        .Read(
                            screen,
                            parsed.GetRequiredValue(profile),
                            parsed.GetRequiredValue(nameplate),
                            parsed.GetRequiredValue(bench)
                        )
                        .Plan!,
                    parsed.GetValue(svg)
                )
        );
    }

    private static ExitCode Plan(Screen screen, RunPlan plan, string? svg)
    {
        var tables = new[] { PlanTable.Steps(plan), PlanTable.Limits(plan), PlanTable.Totals(plan) };
        screen.Line(
            $"{plan.Profile.Name}, revision {plan.Profile.Revision}, for {plan.Nameplate.Name} on {plan.Bench.Name}"
        );
        foreach (var table in tables)
        {
            screen.Line();
            screen.Table(table);
            screen.Document[table.Title.ToLowerInvariant()] = table == tables[^1] ? Totals(table) : Screen.Rows(table);
        }
        if (svg is not null)
        {
            File.WriteAllText(svg, RunDocuments.PlanPicture(plan), new UTF8Encoding(false));
            screen.Document["svg"] = svg;
            screen.Line();
            screen.Line($"Load against time: {svg}");
        }
        return ExitCode.Pass;
    }

    private static JsonObject Totals(TextTable table) =>
        new(table.Rows.Select(r => KeyValuePair.Create(r[0], (JsonNode?)JsonValue.Create(r[1]))));
}
