using System.Text.Json.Nodes;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A host name or address, without scheme, port or spaces.</summary>
internal sealed class HostShape : ScalarShape<string>
{
    internal override string Example => "10.0.0.21";

    internal override string? Read(string text, Place place, out string value)
    {
        value = text;
        return
            text.Length <= 253
            && Uri.CheckHostName(text) is UriHostNameType.Dns or UriHostNameType.IPv4 or UriHostNameType.IPv6
            ? null
            : $"`{QuantityText.Short(text)}` is not a host name or address. Write it alone, for example `{Example}`; the port has a key of its own.";
    }

    internal override JsonObject Schema(SchemaParts parts) => Pattern("^[A-Za-z0-9.:_-]{1,253}$");
}
