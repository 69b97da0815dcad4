using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>The name of an instrument's definition file, read at once.</summary>
internal sealed class DefinitionFileShape(Func<string, ReadOnlyMemory<byte>?> resolve)
    : Shape<(string File, InstrumentDefinition Definition)>
{
    private static readonly FileNameShape Name = new(".yaml", "instruments/multimeter-100-v.yaml");

    internal override bool TryRead(
        Node node,
        string what,
        FindingList findings,
        out (string File, InstrumentDefinition Definition) value
    )
    {
        value = default;
        if (!Name.TryRead(node, what, findings, out var file))
        {
            return false;
        }
        if (resolve(file) is not { IsEmpty: false } bytes)
        {
            findings.Error(
                node.Place,
                $"`{what}`: there is no file `{file}` in the profiles folder, or it is empty. Check the name, or add the file."
            );
            return false;
        }
        var read = DefinitionReader.Read(file, bytes);
        if (read.Value is null)
        {
            var first = read.Findings.First(f => f.Severity == Severity.Error);
            var count = read.Findings.Count(f => f.Severity == Severity.Error);
            findings.Error(
                node.Place,
                $"`{what}`: `{file}` has {(count == 1 ? "an error" : $"{count} errors")} of its own; the first is {first}"
            );
            return false;
        }
        value = (file, read.Value);
        return true;
    }

    internal override JsonObject Schema(SchemaParts parts) => Name.Schema(parts);
}
