namespace LoadTest.Simulator.Meters;

/// <summary>One unit of a program message: its header and its parameters.</summary>
internal readonly record struct ScpiUnit(string Header, string[] Parameters)
{
    /// <summary>Cuts a line at semicolons and commas outside quotes.</summary>
    /// <returns>The units; an empty unit is left out.</returns>
    public static List<ScpiUnit> Parse(string line)
    {
        var units = new List<ScpiUnit>(1);
        foreach (var part in Cut(line, ';'))
        {
            var text = part.Trim();
            if (text.Length == 0)
            {
                continue;
            }

            var space = text.AsSpan().IndexOfAny(' ', '\t');
            units.Add(
                space < 0
                    ? new(text, [])
                    : new(text[..space], Cut(text[(space + 1)..], ',').ConvertAll(word => word.Trim()).ToArray())
            );
        }

        return units;
    }

    private static List<string> Cut(string text, char separator)
    {
        var parts = new List<string>(1);
        var start = 0;
        var quote = '\0';
        for (var i = 0; i < text.Length; i++)
        {
            var c = text[i];
            if (quote != '\0')
            {
                quote = c == quote ? '\0' : quote;
            }
            else if (c is '"' or '\'')
            {
                quote = c;
            }
            else if (c == separator)
            {
                parts.Add(text[start..i]);
                start = i + 1;
            }
        }

        parts.Add(text[start..]);
        return parts;
    }
}
