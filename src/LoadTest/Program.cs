using System.Globalization;
using LoadTest.Commands;
using LoadTest.Sequencer.Text;

namespace LoadTest;

internal static class Program
{
    /// <summary>Fewest files the system must let this process hold open: the runtime's own, a bench's lines and a run's files.</summary>
    private const int FewestOpenFiles = 128;

    private const string OpenFilesLine = "Max open files";

    /// <summary>Version of the program, as records name it.</summary>
    public static string Version => typeof(Program).Assembly.GetName().Version!.ToString(3);

    private static int Main(string[] args)
    {
        // Opened before anything else: where files run out, there must be one left to say so.
        var trouble = Console.Error;
        try
        {
            if (OpenFilesAllowed() is { } most && most < FewestOpenFiles)
            {
                trouble.WriteLine(
                    $"This process may hold only {most} files open at once; at least {FewestOpenFiles} are needed. Raise the limit, for example with `ulimit -n 1024`."
                );
                return (int)ExitCode.BadInput;
            }
            return CommandTree.Run(args);
        }
        catch (Exception unforeseen) when (unforeseen is not OutOfMemoryException)
        {
            // The last net: a verb has its own, which also closes its document.
            trouble.WriteLine(VisibleText.Of(Verb.Unforeseen(unforeseen)));
            return (int)ExitCode.RecordTrouble;
        }
    }

    /// <summary>How many files the system lets this process hold open; null where it does not say.</summary>
    private static int? OpenFilesAllowed()
    {
        const string Limits = "/proc/self/limits";
        if (!OperatingSystem.IsLinux() || !File.Exists(Limits))
            return null;
        var line = File.ReadLines(Limits).FirstOrDefault(l => l.StartsWith(OpenFilesLine, StringComparison.Ordinal));
        var soft = line?[OpenFilesLine.Length..].Split(' ', StringSplitOptions.RemoveEmptyEntries).FirstOrDefault();
        return int.TryParse(soft, NumberStyles.None, CultureInfo.InvariantCulture, out var most) ? most : null;
    }
}
