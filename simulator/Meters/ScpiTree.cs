namespace LoadTest.Simulator.Meters;

/// <summary>Finds the command a header means: long and short forms, optional nodes, queries apart.</summary>
/// <remarks>SCPI-99 volume 1, chapter 6: each node is written in full or as its capitals, in either case; a node in brackets may be left out.</remarks>
internal sealed class ScpiTree<T>
    where T : struct
{
    // IEEE 488.2, 7.6.1.4.1: a program mnemonic has at most twelve characters.
    private const int LongestMnemonic = 12;

    private readonly List<(Node[] Path, bool IsQuery, T Command)> _patterns = [];
    private readonly Dictionary<string, T?> _known = new(StringComparer.OrdinalIgnoreCase);

    public void Add(string pattern, T command)
    {
        var isQuery = pattern.EndsWith('?');
        var nodes = new List<Node>();
        foreach (var part in pattern.TrimEnd('?').Replace("[:", ":[", StringComparison.Ordinal).Split(':'))
        {
            var name = part.Trim('[', ']');
            var shortForm = string.Concat(name.Where(c => !char.IsAsciiLetterLower(c)));
            nodes.Add(new(name, shortForm, part.Contains('[', StringComparison.Ordinal)));
        }

        _patterns.Add((nodes.ToArray(), isQuery, command));
    }

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
        foreach (var (path, query, command) in _patterns)
        {
            if (query == isQuery && Matches(path, nodes))
            {
                return command;
            }
        }

        return null;
    }

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
        public bool Is(string written) =>
            written.Equals(Name, StringComparison.OrdinalIgnoreCase)
            || written.Equals(ShortForm, StringComparison.OrdinalIgnoreCase);
    }
}
