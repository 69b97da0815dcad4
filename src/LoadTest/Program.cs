using LoadTest.Commands;

namespace LoadTest;

internal static class Program
{
    /// <summary>Version of the program, as records name it.</summary>
    public static string Version => typeof(Program).Assembly.GetName().Version!.ToString(3);

    private static int Main(string[] args) => CommandTree.Run(args);
}
