namespace LoadTest.Simulator.Meters;

/// <summary>Finds the command a header means: long and short forms, optional nodes, queries apart.</summary>
/// <remarks>SCPI-99 volume 1, chapter 6: each node is written in full or as its capitals, in either case; a node in brackets may be left out.</remarks>
internal sealed class ScpiTree<T>
    where T : struct
{
    // IEEE 488.2, 7.6.1.4.1: a program mnemonic has at most twelve characters.
    private const int LongestMnemonic = 12;

    private readonly ScpiPattern<T>[] _patterns;
    private readonly Dictionary<string, T?> _known = new(StringComparer.OrdinalIgnoreCase);

    /// <summary>With patterns, which may be shared: only the headers met are remembered here.</summary>
    public ScpiTree(ScpiPattern<T>[] patterns) => _patterns = patterns;

    /// <summary>The command of a header with its question mark; null when there is none.</summary>
    public T? Find(string header)
    {
        if (!_known.TryGetValue(header, out var command))
        {
            command = Search(header);
            if (_known.Count < 1000)
            {
                _known[header] = command;
            }
        }

        return command;
    }

    /// <summary>True when a node of the header is longer than a mnemonic may be.</summary>
    public static bool HasLongMnemonic(string header) =>
        header.TrimEnd('?').Split(':').Any(node => node.TrimStart('*').Length > LongestMnemonic);

    private T? Search(string header)
    {
        var isQuery = header.EndsWith('?');
        var nodes = header.TrimEnd('?').Split(':');
        foreach (var pattern in _patterns)
        {
            if (pattern.Matches(nodes, isQuery))
            {
                return pattern.Command;
            }
        }

        return null;
    }
}

/// <summary>How a command is written, "[SENSe:]VOLTage[:DC]:RANGe?", and what it means.</summary>
internal sealed class ScpiPattern<T>
    where T : struct
{
    private readonly Node[] _path;
    private readonly bool _isQuery;

    public ScpiPattern(string pattern, T command)
    {
        Command = command;
        _isQuery = pattern.EndsWith('?');
        var parts = pattern.TrimEnd('?').Replace("[:", ":[", StringComparison.Ordinal).Split(':');
        _path = Array.ConvertAll(parts, Node.Of);
    }

    public T Command { get; }

    public bool Matches(ReadOnlySpan<string> nodes, bool isQuery) => isQuery == _isQuery && Matches(_path, nodes);

    private static bool Matches(ReadOnlySpan<Node> path, ReadOnlySpan<string> nodes)
    {
        if (path.IsEmpty)
        {
            return nodes.IsEmpty;
        }

        return (!nodes.IsEmpty && path[0].Is(nodes[0]) && Matches(path[1..], nodes[1..]))
            || (path[0].MayBeLeftOut && Matches(path[1..], nodes));
    }

    private readonly record struct Node(string Name, string ShortForm, bool MayBeLeftOut)
    {
        public static Node Of(string written)
        {
            var name = written.Trim('[', ']');
            var shortForm = string.Concat(name.Where(c => !char.IsAsciiLetterLower(c)));
            return new(name, shortForm, written.Contains('[', StringComparison.Ordinal));
        }

        public bool Is(string written) =>
            written.Equals(Name, StringComparison.OrdinalIgnoreCase)
            || written.Equals(ShortForm, StringComparison.OrdinalIgnoreCase);
    }
}
