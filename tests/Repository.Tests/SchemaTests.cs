using System.Text;
using System.Text.Json.Nodes;
using Json.Schema;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.RepositoryTests;

/// <summary>The JSON Schemas editors use, held to the table the reader uses and to the files we ship.</summary>
public sealed class SchemaTests
{
    private static readonly Dictionary<FileKind, Lazy<JsonSchema>> Schemas = Enum.GetValues<FileKind>()
        .ToDictionary(
            k => k,
            k => new Lazy<JsonSchema>(() =>
                JsonSchema.FromText(AnyFile.Schema(k), new BuildOptions { SchemaRegistry = new SchemaRegistry() })
            )
        );

    public static TheoryData<FileKind> Kinds => new(Enum.GetValues<FileKind>());

    public static TheoryData<string> Shipped =>
        new(
            Directory
                .EnumerateFiles(Path.Combine(RepositoryFiles.Root, "profiles"), "*.yaml", SearchOption.AllDirectories)
                .Select(p => Path.GetRelativePath(RepositoryFiles.Root, p).Replace('\\', '/'))
                .Order(StringComparer.Ordinal)
        );

    /// <summary>Run with LOADTEST_WRITE_SCHEMAS=1 to write the files anew after a table has changed.</summary>
    [Theory]
    [MemberData(nameof(Kinds))]
    public void The_schema_on_disk_is_what_the_readers_table_says(FileKind kind)
    {
        var path = PathOf(kind);
        var expected = AnyFile.Schema(kind);
        if (Environment.GetEnvironmentVariable("LOADTEST_WRITE_SCHEMAS") == "1")
        {
            File.WriteAllText(path, expected);
        }
        Assert.Equal(expected, File.ReadAllText(path));
    }

    [Theory]
    [MemberData(nameof(Shipped))]
    public void Every_shipped_file_fits_its_schema(string file)
    {
        var (kind, json) = Json(file, File.ReadAllBytes(Path.Combine(RepositoryFiles.Root, file)));
        var result = Evaluate(kind, json);
        Assert.True(result.IsValid, Reasons(result));
    }

    [Theory]
    [MemberData(nameof(Shipped))]
    public void A_key_taken_out_or_added_at_the_top_is_judged_alike_by_schema_and_reader(string file)
    {
        var text = File.ReadAllText(Path.Combine(RepositoryFiles.Root, file));
        var (kind, whole) = Json(file, Encoding.UTF8.GetBytes(text));
        foreach (var key in whole.AsObject().Select(p => p.Key).ToList())
        {
            var without = whole.DeepClone().AsObject();
            without.Remove(key);
            var lines = WithoutTopKey(text, key);
            var isRead = IsSound(kind, file, lines);
            Assert.True(
                isRead == Evaluate(kind, without).IsValid || isRead == false && IsLinked(key),
                $"{file} without `{key}`: reader says {isRead}"
            );
        }
        var added = whole.DeepClone().AsObject();
        added["unheard of"] = 1;
        Assert.False(Evaluate(kind, added).IsValid);
        Assert.False(IsSound(kind, file, text + "unheard of: 1\n"));
    }

    [Theory]
    [InlineData(FileKind.Profile, "average", "\"20\"")]
    [InlineData(FileKind.Profile, "revision", "\"three\"")]
    [InlineData(FileKind.Profile, "steps", "[\"energize\"]")]
    [InlineData(FileKind.Nameplate, "shunt", "{ \"rated current\": \"400 V\", \"rated drop\": \"50 mV\" }")]
    [InlineData(FileKind.Bench, "leads", "{ \"resistance\": \"1,2 mΩ\", \"rated current\": \"350 A\" }")]
    [InlineData(FileKind.Instrument, "protocol", "\"modbus\"")]
    public void A_wrong_value_does_not_fit_the_schema(FileKind kind, string key, string value)
    {
        var file = kind switch
        {
            FileKind.Profile => "profiles/output-verification.yaml",
            FileKind.Nameplate => "profiles/nameplates/demo-300.yaml",
            FileKind.Bench => "profiles/benches/demo.yaml",
            _ => "profiles/instruments/element-bank-modbus-rtu.yaml",
        };
        var (_, whole) = Json(file, File.ReadAllBytes(Path.Combine(RepositoryFiles.Root, file)));
        var wrong = whole.AsObject();
        wrong[key] = JsonNode.Parse(value);
        Assert.False(Evaluate(kind, wrong).IsValid);
    }

    // Laws between two parts of a file are the reader's alone: a schema does not know them.
    private static bool IsLinked(string key) =>
        key
            is "points"
                or "auxiliary bank"
                or "simulated world"
                or "deadline"
                or "framing"
                or "inputs"
                or "turn-around"
                or "unit identifier"
                or "addresses count from"
                or "word order"
                or "switching";

    private static bool IsSound(FileKind kind, string file, string text)
    {
        var check = AnyFile.Check(file, Encoding.UTF8.GetBytes(text), Definition);
        return check.IsSound && check.Kind == kind;
    }

    private static string WithoutTopKey(string text, string key)
    {
        var kept = new StringBuilder();
        var isInside = false;
        foreach (var line in text.Split('\n'))
        {
            if (line.Length > 0 && line[0] is not (' ' or '#' or '-'))
            {
                isInside = line.StartsWith(key + ":", StringComparison.Ordinal);
            }
            if (!isInside)
            {
                kept.Append(line).Append('\n');
            }
        }
        return kept.ToString();
    }

    private static ReadOnlyMemory<byte>? Definition(string name)
    {
        var path = Path.Combine(RepositoryFiles.Root, "profiles", name);
        return File.Exists(path) ? new ReadOnlyMemory<byte>(File.ReadAllBytes(path)) : null;
    }

    private static string PathOf(FileKind kind) =>
        Path.Combine(RepositoryFiles.Root, "profiles", "schemas", $"{kind.ToString().ToLowerInvariant()}.schema.json");

    private static EvaluationResults Evaluate(FileKind kind, JsonNode json)
    {
        using var document = System.Text.Json.JsonDocument.Parse(json.ToJsonString());
        return Schemas[kind]
            .Value.Evaluate(document.RootElement, new EvaluationOptions { OutputFormat = OutputFormat.List });
    }

    private static string Reasons(EvaluationResults results) =>
        string.Join(
            "\n",
            (results.Details ?? [])
                .Where(d => !d.IsValid && d.Errors is not null)
                .SelectMany(d => d.Errors!.Select(e => $"{d.InstanceLocation}: {e.Value}"))
        );

    private static (FileKind Kind, JsonNode Json) Json(string file, byte[] bytes)
    {
        var kind = AnyFile.Check(file, bytes, Definition).Kind;
        Assert.NotNull(kind);
        var findings = new FindingList(file);
        var root = YamlTree.Read(bytes, findings);
        Assert.NotNull(root);
        return (kind.Value, Json(root)!);
    }

    // Plain scalars by the core schema of YAML 1.2, which is what editors use.
    private static JsonNode? Json(Node node) =>
        node switch
        {
            SequenceNode list => new JsonArray([.. list.Items.Select(Json)]),
            MappingNode mapping => new JsonObject(
                mapping.Entries.Select(e => KeyValuePair.Create(e.Key.Text, Json(e.Value)))
            ),
            ScalarNode { IsMissing: true } => null,
            ScalarNode { IsPlain: true } s when long.TryParse(s.Text, out var whole) => JsonValue.Create(whole),
            ScalarNode { IsPlain: true } s when double.TryParse(s.Text, out var number) => JsonValue.Create(number),
            ScalarNode s => JsonValue.Create(s.Text),
            _ => null,
        };
}
