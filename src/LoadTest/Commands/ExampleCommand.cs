using System.CommandLine;

namespace LoadTest.Commands;

/// <summary>A verb that knows an example of itself.</summary>
internal sealed class ExampleCommand(string name, string description, string example) : Command(name, description)
{
    /// <summary>A whole command line.</summary>
    public string Example { get; } = example;
}
