using System.CommandLine;
using LoadTest.Sequencer.Text;

namespace LoadTest.Commands;

/// <summary>Makes a verb: its action gets a screen, and whatever ends it becomes an exit code.</summary>
internal static class Verb
{
    /// <summary>A verb with the option for JSON.</summary>
    /// <param name="name">Name of the verb.</param>
    /// <param name="description">One or two sentences.</param>
    /// <param name="example">A whole command line.</param>
    /// <param name="symbols">Arguments and options, in the order of the help.</param>
    /// <param name="act">What it does.</param>
    public static Command Create(
        string name,
        string description,
        string example,
        IEnumerable<Symbol> symbols,
        Func<ParseResult, Screen, ExitCode> act
    )
    {
        var command = new ExampleCommand(name, description, example);
        foreach (var symbol in symbols)
        {
            if (symbol is Argument argument)
                command.Arguments.Add(argument);
            else if (symbol is Option option)
                command.Options.Add(option);
        }
        var json = CommonOptions.Json();
        command.Options.Add(json);
        command.SetAction(parsed => (int)Act(Screen.OfProcess(parsed.GetValue(json)), screen => act(parsed, screen)));
        return command;
    }

    /// <summary>Acts, says what went wrong, and shows the document.</summary>
    internal static ExitCode Act(Screen screen, Func<Screen, ExitCode> act)
    {
        ExitCode exit;
        try
        {
            exit = act(screen);
        }
        catch (CommandEnded ended)
        {
            screen.Trouble(ended.Message);
            exit = ended.Exit;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            screen.Trouble(trouble.Message);
            exit = ExitCode.RecordTrouble;
        }
        catch (Exception trouble) when (trouble is not OutOfMemoryException)
        {
            screen.Trouble(Unforeseen(trouble));
            exit = ExitCode.RecordTrouble;
        }
        screen.Document["exit"] = (int)exit;
        screen.Emit();
        return exit;
    }

    /// <summary>What nobody foresaw, on one line: a stack of calls helps nobody at a bench.</summary>
    internal static string Unforeseen(Exception trouble)
    {
        var cause = trouble.GetBaseException();
        return $"The program could not go on, and this is a defect or a limit of this machine: {SentenceText.Clause(cause)} ({cause.GetType().Name}). Please report it with the command line.";
    }
}
