using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Nodes;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Profiles;

/// <summary>What there is to say about a file of any kind.</summary>
/// <param name="Kind">Its kind; null when it does not say.</param>
/// <param name="Findings">All findings, sorted by place.</param>
public sealed record CheckedFile(FileKind? Kind, ImmutableArray<Finding> Findings)
{
    /// <summary>Whether nothing in it is an error.</summary>
    public bool IsSound => Findings.All(f => f.Severity != Severity.Error);
}

/// <summary>Any file a person edits: finds its kind and checks it.</summary>
public static class AnyFile
{
    private static readonly JsonSerializerOptions Indented = new()
    {
        WriteIndented = true,
        NewLine = "\n",
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    private static readonly ImmutableArray<(string Key, FileKind Kind)> Kinds =
    [
        ("profile", FileKind.Profile),
        ("nameplate", FileKind.Nameplate),
        ("bench", FileKind.Bench),
        ("instrument", FileKind.Instrument),
    ];

    /// <summary>Checks a file, whatever its kind.</summary>
    /// <param name="file">Name of the file as the person gave it, for messages.</param>
    /// <param name="bytes">Its bytes; anything at all.</param>
    /// <param name="resolve">Bytes of a definition file by its name below the profiles folder; null when there is none.</param>
    public static CheckedFile Check(
        string file,
        ReadOnlyMemory<byte> bytes,
        Func<string, ReadOnlyMemory<byte>?> resolve
    )
    {
        var findings = new FindingList(file);
        if (YamlTree.Read(bytes.Span, findings) is not { } root)
        {
            return new CheckedFile(null, findings.Sorted());
        }
        foreach (var (key, kind) in Kinds)
        {
            if (root is MappingNode mapping && mapping.Entries.Any(e => e.Key.Text == key))
            {
                return new CheckedFile(kind, Findings(kind, file, bytes, resolve));
            }
        }
        findings.Error(
            root.Place,
            "The file does not say what it is. Begin it with `format: 1` and one of `profile:`, `nameplate:`, `bench:` or `instrument:`."
        );
        return new CheckedFile(null, findings.Sorted());
    }

    /// <summary>The JSON Schema (draft 2020-12) of a kind of file, made from the table its reader uses.</summary>
    public static string Schema(FileKind kind)
    {
        var parts = new SchemaParts();
        var whole = kind switch
        {
            FileKind.Profile => ProfileShape.File.Whole(parts),
            FileKind.Nameplate => NameplateShape.File.Whole(parts),
            FileKind.Bench => BenchShape.File(static _ => null).Whole(parts),
            _ => DefinitionShape.File.Whole(parts),
        };
        var schema = new JsonObject
        {
            ["$schema"] = "https://json-schema.org/draft/2020-12/schema",
            ["title"] =
                kind == FileKind.Instrument
                    ? "LoadTest instrument definition"
                    : $"LoadTest {Kinds.First(k => k.Kind == kind).Key}",
        };
        foreach (var (name, value) in whole.ToList())
        {
            whole.Remove(name);
            schema[name] = value;
        }
        schema["$defs"] = parts.Definitions();
        return schema.ToJsonString(Indented) + "\n";
    }

    private static ImmutableArray<Finding> Findings(
        FileKind kind,
        string file,
        ReadOnlyMemory<byte> bytes,
        Func<string, ReadOnlyMemory<byte>?> resolve
    ) =>
        kind switch
        {
            FileKind.Profile => ProfileReader.Read(file, bytes).Findings,
            FileKind.Nameplate => NameplateReader.Read(file, bytes).Findings,
            FileKind.Bench => BenchReader.Read(file, bytes, resolve).Findings,
            _ => DefinitionReader.Read(file, bytes).Findings,
        };
}
