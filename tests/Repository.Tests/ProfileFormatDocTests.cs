using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.RepositoryTests;

/// <summary>The description of the files, held to the tables the readers use.</summary>
public sealed class ProfileFormatDocTests
{
    private const string Page = "docs/profile-format.md";

    /// <summary>Run with LOADTEST_WRITE_SCHEMAS=1 to write the tables anew after a table of the reader has changed.</summary>
    [Fact]
    public void The_tables_of_keys_are_those_of_the_readers()
    {
        var path = Path.Combine(RepositoryFiles.Root, Page);
        var page = File.ReadAllText(path);
        var begin = page.IndexOf("equal) -->\n", StringComparison.Ordinal) + "equal) -->\n".Length;
        var end = page.IndexOf("<!-- keys: end", StringComparison.Ordinal);
        var tables = Tables();
        if (Environment.GetEnvironmentVariable("LOADTEST_WRITE_SCHEMAS") == "1")
        {
            File.WriteAllText(path, page[..begin] + tables + page[end..]);
            return;
        }
        Assert.Equal(tables, page[begin..end]);
    }

    [Fact]
    public void Every_whole_example_on_the_page_is_read_without_a_finding()
    {
        var blocks = Regex.Matches(
            File.ReadAllText(Path.Combine(RepositoryFiles.Root, Page)),
            "```yaml\n(?<text>format: 1\n.*?)```",
            RegexOptions.Singleline | RegexOptions.ExplicitCapture,
            TimeSpan.FromSeconds(5)
        );
        Assert.Equal(2, blocks.Count);
        foreach (Match block in blocks)
        {
            var check = AnyFile.Check(Page, Encoding.UTF8.GetBytes(block.Groups["text"].Value), static _ => null);
            Assert.NotNull(check.Kind);
            Assert.Empty(check.Findings.Select(f => f.ToString()));
        }
    }

    private static string Tables()
    {
        var text = new StringBuilder();
        foreach (var kind in Enum.GetValues<FileKind>())
        {
            var schema = JsonNode.Parse(AnyFile.Schema(kind))!.AsObject();
            text.Append($"\n### {kind}\n");
            Table(text, "the file", schema);
            foreach (var (name, part) in schema["$defs"]!.AsObject())
            {
                if (part!["properties"] is not null)
                {
                    Table(text, name.Replace('-', ' '), part.AsObject());
                }
            }
        }
        return text.Append('\n').ToString();
    }

    private static void Table(StringBuilder text, string name, JsonObject mapping)
    {
        var required = (mapping["required"]?.AsArray() ?? [])
            .Select(r => r!.GetValue<string>())
            .ToHashSet(StringComparer.Ordinal);
        text.Append($"\n**{name}**\n\n| key | | what it says | for example |\n|---|---|---|---|\n");
        foreach (var (key, value) in mapping["properties"]!.AsObject())
        {
            var must = required.Contains(key) ? "must" : "may";
            text.Append(
                $"| `{key}` | {must} | {Cell(value!["description"]!.GetValue<string>())} | {Example(value)} |\n"
            );
        }
    }

    private static string Example(JsonNode value)
    {
        if (value["enum"] is JsonArray words)
        {
            return string.Join(", ", words.Select(w => $"`{w}`"));
        }
        if (value["type"]?.ToString() == "integer")
        {
            return $"{value["minimum"]} to {value["maximum"]}";
        }
        return value["examples"] is JsonArray { Count: > 0 } examples ? $"`{examples[0]}`" : "";
    }

    private static string Cell(string text) => text.Replace("|", "\\|", StringComparison.Ordinal);
}
