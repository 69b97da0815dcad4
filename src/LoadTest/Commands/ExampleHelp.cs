using System.CommandLine;
using System.CommandLine.Invocation;

namespace LoadTest.Commands;

/// <summary>The library's help, with the verb's example below it.</summary>
internal sealed class ExampleHelp(SynchronousCommandLineAction help) : SynchronousCommandLineAction
{
    public override int Invoke(ParseResult parseResult)
    {
        var code = help.Invoke(parseResult);
        var output = parseResult.InvocationConfiguration.Output;
        if (parseResult.CommandResult.Command is ExampleCommand verb)
        {
            output.WriteLine("Example:");
            output.WriteLine($"  {verb.Example}");
            output.WriteLine();
        }
        else
        {
            output.WriteLine("Exit codes:");
            output.WriteLine("  0 all pass · 1 completed with a fail, undecided or not tested · 2 bad input");
            output.WriteLine("  3 refused at the gate · 4 tripped or stopped · 5 record or storage trouble");
            output.WriteLine();
        }
        return code;
    }
}
