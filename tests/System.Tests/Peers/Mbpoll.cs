using System.Diagnostics;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace LoadTest.SystemTests.Peers;

/// <summary>Debian's mbpoll, a Modbus master made with another library: what it reads, nothing of ours has read.</summary>
internal static partial class Mbpoll
{
    private const string Poll = "/usr/bin/mbpoll";

    /// <summary>Whether it is here.</summary>
    public static bool IsInstalled => File.Exists(Poll);

    /// <summary>Skips the test where it is not installed, unless it is demanded.</summary>
    public static void Demand()
    {
        if (IsInstalled)
            return;
        Assert.False(
            Environment.GetEnvironmentVariable("LOADTEST_PEERS") == "demanded",
            "mbpoll is demanded here (LOADTEST_PEERS=demanded) and is not installed."
        );
        Assert.Skip("mbpoll is not installed.");
    }

    /// <summary>A device on a TCP port of this machine.</summary>
    public static (string[] Options, string Device) At(int port) => (["-m", "tcp", "-p", $"{port}"], "127.0.0.1");

    public static (string[] Options, string Device) Where(JsonElement served)
    {
        var bank = served
            .GetProperty("instruments")
            .EnumerateArray()
            .First(i => i.GetProperty("name").GetString() == "bank-1");
        if (bank.TryGetProperty("port", out var port) && port.ValueKind == JsonValueKind.Number)
            return At(port.GetInt32());
        return (["-m", "rtu", "-b", "19200", "-P", "even"], bank.GetProperty("serial port").GetString()!);
    }

    public static async Task<string> ReadAsync((string[] Options, string Device) where, params string[] options)
    {
        var said = await RunAsync(where, options, []);
        return string.Join(' ', Values().Matches(said).Select(m => m.Groups["value"].Value));
    }

    public static async Task<string> RunAsync((string[], string) where, string[] options, string[] values)
    {
        var (exit, said) = await EndAsync(where, options, values);
        Assert.True(exit == 0, said);
        return said;
    }

    public static async Task<(int Exit, string Said)> EndAsync(
        (string[] Options, string Device) where,
        string[] options,
        string[] values
    )
    {
        var start = new ProcessStartInfo(Poll)
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        string[] once = values.Length == 0 ? ["-1"] : [];
        foreach (
            var word in (string[])
                [.. where.Options, "-a", "1", "-0", "-o", "5", .. once, .. options, where.Device, .. values]
        )
            start.ArgumentList.Add(word);
        using var process = Process.Start(start)!;
        var trouble = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var said = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, said + await trouble);
    }

    [GeneratedRegex(@"^\[\d+\]:\s+(?<value>[-+.0-9eE]+)", RegexOptions.Multiline, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Values();
}
