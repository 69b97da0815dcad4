using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>A machine that other work keeps from its deadlines ends a run in real time, as it should; such a run is made again.</summary>
internal static class BusyMachine
{
    /// <summary>How often at most.</summary>
    public const int MostAttempts = 3;

    private static readonly string[] Codes = ["LATE", "SILENT", "LINK", "CONFIG", "IDENTITY", "PORT"];

    /// <summary>Whether lateness alone ended it: no sign of life from us, or no reply in time from the simulator.</summary>
    public static bool Ended(Ended end)
    {
        if (
            !end.Document.TryGetProperty("code", out var code)
            || !Codes.Contains(code.GetString(), StringComparer.Ordinal)
        )
            return false;
        TestContext.Current.TestOutputHelper?.WriteLine(
            $"busy machine: {code.GetString()} {end.Document.GetProperty("detail").GetString()}"
        );
        return true;
    }
}
