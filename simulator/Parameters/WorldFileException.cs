namespace LoadTest.Simulator.Parameters;

/// <summary>A world file that cannot be used; its message lists every finding, one a line.</summary>
public sealed class WorldFileException : FormatException
{
    /// <summary>With the findings, each saying where, what was found and what is allowed.</summary>
    public WorldFileException(IReadOnlyList<string> findings)
        : base(string.Join('\n', findings)) => Findings = findings;

    /// <summary>With one finding.</summary>
    public WorldFileException(string message)
        : this([message]) { }

    /// <summary>With one finding and what caused it.</summary>
    public WorldFileException(string message, Exception innerException)
        : base(message, innerException) => Findings = [message];

    /// <summary>Without a finding.</summary>
    public WorldFileException()
        : this("The world file cannot be used.") { }

    /// <summary>Every finding, in the order of the file.</summary>
    public IReadOnlyList<string> Findings { get; }
}
