namespace LoadTest.Commands;

/// <summary>A command that ends here, with what to tell the person.</summary>
/// <param name="exit">Exit code.</param>
/// <param name="words">What was found, what is allowed, what to do.</param>
internal sealed class CommandEnded(ExitCode exit, string words) : Exception(words)
{
    public ExitCode Exit { get; } = exit;
}
