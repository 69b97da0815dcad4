using System.Diagnostics;

namespace LoadTest.InstrumentsTests.Peers;

/// <summary>A process of somebody else's making: another implementation to speak with, or a pair of pseudo-terminals.</summary>
/// <remarks>Where it is not installed a test is skipped with the reason; with <c>LOADTEST_PEERS=demanded</c> it fails instead.</remarks>
internal sealed class Peer : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private readonly Process _process;

    private Peer(Process process) => _process = process;

    /// <summary>Starts a program and waits for the line by which it says that it is ready.</summary>
    public static Peer Start(string program, string ready, params string[] arguments)
    {
        var process = Run(program, arguments);
        var peer = new Peer(process);
        var said = new List<string>();
        var isReady = new ManualResetEventSlim();
        void Hear(object sender, DataReceivedEventArgs heard)
        {
            if (heard.Data is not { } line)
                return;
            lock (said)
                said.Add(line);
            if (line.Contains(ready, StringComparison.Ordinal))
                isReady.Set();
        }
        process.EnableRaisingEvents = true;
        process.Exited += (_, _) => isReady.Set();
        process.OutputDataReceived += Hear;
        process.ErrorDataReceived += Hear;
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        if (isReady.Wait(Patience, TestContext.Current.CancellationToken) && !process.HasExited)
            return peer;
        peer.Dispose();
        lock (said)
            throw new InvalidOperationException($"{program} did not say \"{ready}\": {string.Join(" | ", said)}");
    }

    /// <summary>Runs a program to its end.</summary>
    public static (int Exit, string Said) ToEnd(string program, params string[] arguments)
    {
        using var process = Run(program, arguments);
        var errors = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output + errors.GetAwaiter().GetResult());
    }

    /// <summary>The test cannot be done here: skipped, or failed where it is demanded.</summary>
    public static void Lacks(string what)
    {
        Assert.False(
            Environment.GetEnvironmentVariable("LOADTEST_PEERS") == "demanded",
            $"{what} is demanded here (LOADTEST_PEERS=demanded) and is not installed."
        );
        Assert.Skip($"{what} is not installed.");
    }

    /// <summary>Whether a program is on the path.</summary>
    public static bool Has(string program) =>
        (Environment.GetEnvironmentVariable("PATH") ?? "")
            .Split(Path.PathSeparator)
            .Any(folder => File.Exists(Path.Combine(folder, program)));

    public void Dispose()
    {
        if (!_process.HasExited)
            _process.Kill();
        _process.WaitForExit();
        _process.Dispose();
    }

    private static Process Run(string program, string[] arguments)
    {
        var start = new ProcessStartInfo(program)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
            UseShellExecute = false,
        };
        foreach (var argument in arguments)
            start.ArgumentList.Add(argument);
        return Process.Start(start)!;
    }
}
