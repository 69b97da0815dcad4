using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A request of a text protocol and its reply, with the fields its place asks for.</summary>
internal static class TextExchangeShape
{
    /// <summary>An exchange.</summary>
    /// <param name="example">How it may look: request, then reply.</param>
    /// <param name="sent">Fields the request must have, and no others.</param>
    /// <param name="answered">Fields the reply must have.</param>
    /// <param name="mayAnswer">Further fields the reply may have; those of the request always may.</param>
    internal static MappingShape<TextExchange> Exchange(
        (string Send, string Reply) example,
        string[] sent,
        string[] answered,
        params string[] mayAnswer
    )
    {
        var send = Key.Required("send", new TextPatternShape(example.Send), "What is sent, without its terminator.");
        var reply = Key.Required(
            "reply",
            new TextPatternShape(example.Reply),
            "What comes back; a field of the request that stands here too must repeat its value."
        );
        return new MappingShape<TextExchange>(
            "text exchange",
            Of.Keys(send, reply),
            f => new TextExchange(f.Get(send), f.Get(reply)),
            f =>
            {
                Check(f, send, sent, sent);
                Check(f, reply, answered, [.. answered, .. sent, .. mayAnswer]);
            }
        );
    }

    private static void Check(Fields f, Key<TextPattern> key, string[] must, string[] may)
    {
        if (!f.TryGet(key, out var pattern))
        {
            return;
        }
        foreach (var missing in must.Where(m => !pattern.Names.Contains(m, StringComparer.Ordinal)))
        {
            f.Findings.Error(
                f.PlaceOf(key),
                $"`{pattern}` has no field `{missing}`. Put <{missing} …> where that value stands."
            );
        }
        foreach (var other in pattern.Names.Where(n => !may.Contains(n, StringComparer.Ordinal)))
        {
            var known =
                may.Length == 0
                    ? "no field belongs here"
                    : $"known here: {string.Join(", ", may.Distinct(StringComparer.Ordinal))}";
            f.Findings.Error(f.PlaceOf(key), $"`{pattern}` has a field `{other}`, which means nothing here; {known}.");
        }
    }
}
