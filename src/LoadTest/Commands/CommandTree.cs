using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;

namespace LoadTest.Commands;

/// <summary>The command line: every verb, and what becomes of arguments that do not parse.</summary>
internal static class CommandTree
{
    /// <summary>Runs a command line; the exit code.</summary>
    public static int Run(string[] args)
    {
        var parsed = Root().Parse(args, new ParserConfiguration { ResponseFileTokenReplacer = null });
        if (parsed.Errors.Count > 0 && parsed.Action is ParseErrorAction)
            return Refuse(args, parsed);
        // Signals are ours: the library's own handler would let seconds go by before the load is removed.
        return parsed.Invoke(
            new InvocationConfiguration { ProcessTerminationTimeout = null, EnableDefaultExceptionHandler = false }
        );
    }

    /// <summary>Every verb.</summary>
    internal static RootCommand Root()
    {
        var root = new RootCommand(
            "Load-bank test sequencer and calibration recorder. It replaces neither the hard-wired stop nor a qualified person."
        );
        root.Subcommands.Add(DemoCommand.Create());
        root.Subcommands.Add(CheckCommand.Create());
        root.Subcommands.Add(PlanCommand.Create());
        root.Subcommands.Add(CurveCommand.Create());
        root.Subcommands.Add(RunCommand.Create());
        root.Subcommands.Add(SimulateCommand.Create());
        root.Subcommands.Add(ProbeCommand.Create());
        root.Subcommands.Add(VerifyCommand.Create());
        root.Subcommands.Add(ReportCommand.Create());
        root.Subcommands.Add(HuntCommand.Create());
        foreach (var help in root.Options.OfType<HelpOption>())
        {
            if (help.Action is SynchronousCommandLineAction action)
                help.Action = new ExampleHelp(action);
        }
        return root;
    }

    private static int Refuse(string[] args, ParseResult parsed)
    {
        var screen = Screen.OfProcess(args.Contains(CommonOptions.JsonName, StringComparer.Ordinal));
        var verb = parsed.CommandResult.Command is RootCommand ? "" : parsed.CommandResult.Command.Name + " ";
        return (int)
            Verb.Act(
                screen,
                _ =>
                {
                    foreach (var error in parsed.Errors)
                        screen.Trouble(error.Message.ReplaceLineEndings(" ").Replace('\t', ' '));
                    throw new CommandEnded(ExitCode.BadInput, $"See: loadtest {verb}--help");
                }
            );
    }
}
