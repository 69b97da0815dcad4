using LoadTest.SystemTests.CommandLine;

namespace LoadTest.SystemTests.Serving;

/// <summary>A machine that other work keeps from its deadlines ends a run in real time, as it should; such a run is made again.</summary>
internal static class BusyMachine
{
    /// <summary>How often at most.</summary>
    public const int MostAttempts = 3;

    private static readonly string[] Codes = ["LATE", "SILENT", "LINK", "CONFIG", "IDENTITY", "PORT", "FAN"];

    // A command that waited for its line as long as it may was not sent at all.
    private const string NotSent = "was not sent, because the line was not free within";

    /// <summary>Whether lateness alone ended it: no sign of life from us, or no reply in time from the simulator.</summary>
    public static bool Ended(Ended end)
    {
        if (!end.Document.TryGetProperty("code", out var property))
            return false;
        var (code, detail) = (property.GetString(), end.Document.GetProperty("detail").GetString()!);
        if (!Codes.Contains(code, StringComparer.Ordinal) && !detail.Contains(NotSent, StringComparison.Ordinal))
            return false;
        TestContext.Current.TestOutputHelper?.WriteLine($"busy machine: {code} {detail}");
        return true;
    }
}
