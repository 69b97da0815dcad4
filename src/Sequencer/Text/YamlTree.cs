using System.Collections.Immutable;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace LoadTest.Sequencer.Text;

/// <summary>Reads a small, closed part of YAML into our own tree, with the place of everything.</summary>
/// <remarks>YAML 1.2 block and flow collections and scalars, all scalars kept as text. Refused: more than 256 KiB, deeper than
/// <see cref="Deepest"/>, anchors, aliases, tags, merge keys, directives, a second document, a key given twice, a key that is not a
/// single value, tabs, control and invisible characters, bytes that are not UTF-8. Never throws, whatever the bytes.</remarks>
internal static class YamlTree
{
    /// <summary>Deepest nesting read.</summary>
    internal const int Deepest = 20;

    /// <summary>The tree, or null when anything in the file was refused.</summary>
    internal static Node? Read(ReadOnlySpan<byte> bytes, FindingList findings)
    {
        var before = findings.Errors;
        if (FileText.Read(bytes, findings) is not { } text)
        {
            return null;
        }
        using var reader = new StringReader(text);
        var builder = new Builder(new Parser(reader), findings);
        try
        {
            var root = builder.Document();
            return findings.Errors == before ? root : null;
        }
        catch (YamlException trouble)
        {
            findings.Error(At(findings.File, trouble.Start), Unreadable(trouble.Message));
        }
        catch (Exception trouble) when (trouble is not OutOfMemoryException)
        {
            // The scanner breaks its own rules on some input, such as a brace never closed; for a person both are the same.
            findings.Error(builder.Last, Unreadable("a bracket, brace or quote may be left open"));
        }
        return null;
    }

    private static string Unreadable(string reason) =>
        $"From here the file cannot be read as YAML ({SentenceText.Clause(reason)}). "
        + "Check indentation, colons, quotes and brackets on this line and the one above.";

    private static Place At(string file, Mark mark) => new(file, (int)mark.Line, (int)mark.Column);

    private sealed class Builder(Parser parser, FindingList findings)
    {
        private bool tooDeep;

        /// <summary>Where the last thing read began.</summary>
        internal Place Last { get; private set; } = new(findings.File, 1, 1);

        internal Node? Document()
        {
            Next<StreamStart>();
            Move();
            if (parser.Current is StreamEnd)
            {
                findings.Error(new Place(findings.File, 1, 1), "The file is empty. Begin it with \"format: 1\".");
                return null;
            }
            RefuseDirectives((DocumentStart)parser.Current!);
            Move();
            var root = Value(1);
            if (tooDeep)
            {
                return null;
            }
            Move();
            Move();
            if (parser.Current is DocumentStart second)
            {
                findings.Error(
                    At(findings.File, second.Start),
                    "A second document begins here. One file holds one document; put this one in a file of its own."
                );
            }
            return root;
        }

        private void RefuseDirectives(DocumentStart start)
        {
            if (start.Version is not null || start.Tags?.Any(t => !IsBuiltIn(t)) == true)
            {
                findings.Error(At(findings.File, start.Start), "A line that begins with % stands here. Delete it.");
            }
        }

        private static bool IsBuiltIn(YamlDotNet.Core.Tokens.TagDirective tag) =>
            (tag.Handle, tag.Prefix) is ("!", "!") or ("!!", "tag:yaml.org,2002:");

        private void Next<T>()
            where T : ParsingEvent
        {
            Move();
            if (parser.Current is not T)
            {
                throw new YamlException($"expected {typeof(T).Name}");
            }
        }

        private void Move()
        {
            if (!parser.MoveNext())
            {
                throw new YamlException("the text ends too early");
            }
            Last = At(findings.File, parser.Current!.Start);
        }

        // Called with the node's first event current; leaves its last event current. Recursion is bounded by Deepest.
        private Node? Value(int depth)
        {
            var current = parser.Current!;
            RefuseAnchorsAndTags(current);
            var place = At(findings.File, current.Start);
            if (depth > Deepest && current is SequenceStart or MappingStart && depth > Deepest)
            {
                findings.Error(
                    place,
                    $"Nesting is more than {Deepest} deep here. No file of ours needs a quarter of that."
                );
                tooDeep = true;
                return null;
            }
            return current switch
            {
                Scalar scalar => new ScalarNode(scalar.Value, scalar.Style == ScalarStyle.Plain, place),
                SequenceStart => Sequence(place, depth),
                MappingStart => Mapping(place, depth),
                _ => null,
            };
        }

        private SequenceNode? Sequence(Place place, int depth)
        {
            var items = ImmutableArray.CreateBuilder<Node>();
            for (Move(); parser.Current is not SequenceEnd; Move())
            {
                if (Value(depth + 1) is { } item)
                {
                    items.Add(item);
                }
                if (tooDeep)
                {
                    return null;
                }
            }
            return new SequenceNode(items.ToImmutable(), place);
        }

        private MappingNode? Mapping(Place place, int depth)
        {
            var entries = ImmutableArray.CreateBuilder<KeyValue>();
            var seen = new Dictionary<string, Place>(StringComparer.Ordinal);
            for (Move(); parser.Current is not MappingEnd; Move())
            {
                var key = Value(depth + 1);
                if (tooDeep)
                {
                    return null;
                }
                Move();
                var value = Value(depth + 1);
                if (tooDeep)
                {
                    return null;
                }
                if (IsSound(key, seen) && value is not null)
                {
                    entries.Add(new KeyValue((ScalarNode)key!, value));
                }
            }
            return new MappingNode(entries.ToImmutable(), place);
        }

        private bool IsSound(Node? key, Dictionary<string, Place> seen)
        {
            if (key is not ScalarNode { Text: var text } scalar)
            {
                if (key is not null)
                {
                    findings.Error(key.Place, $"A key is {key.Kind} here. A key is a single word or phrase.");
                }
                return false;
            }
            if (text == "<<")
            {
                findings.Error(scalar.Place, "A merge key << stands here. Write the keys out.");
                return false;
            }
            if (!seen.TryAdd(text, scalar.Place))
            {
                findings.Error(
                    scalar.Place,
                    $"`{text}` is given twice; the first stands in line {seen[text].Line}. Keep one of them."
                );
                return false;
            }
            return true;
        }

        private void RefuseAnchorsAndTags(ParsingEvent current)
        {
            var place = At(findings.File, current.Start);
            if (current is AnchorAlias alias)
            {
                findings.Error(
                    place,
                    $"An alias *{alias.Value} stands here. Aliases are not read; write the value out."
                );
            }
            if (current is not NodeEvent node)
            {
                return;
            }
            if (!node.Anchor.IsEmpty)
            {
                findings.Error(place, $"An anchor &{node.Anchor.Value} stands here. Anchors are not read; delete it.");
            }
            if (!node.Tag.IsEmpty)
            {
                findings.Error(place, "A tag, a word that begins with !, stands here. Tags are not read; delete it.");
            }
        }
    }
}
