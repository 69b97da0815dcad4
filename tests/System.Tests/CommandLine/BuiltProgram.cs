using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Text.Json;

namespace LoadTest.SystemTests.CommandLine;

/// <summary>How a command of the built program ended.</summary>
internal sealed record Ended(int Exit, string Output, string Trouble)
{
    /// <summary>Standard output, which must be one JSON document.</summary>
    public JsonElement Document => JsonDocument.Parse(Output).RootElement;

    public override string ToString() => $"exit {Exit}\n{Output}\n{Trouble}";
}

/// <summary>A command of the built program, started as a process of its own.</summary>
internal sealed class BuiltProgram : IDisposable
{
    private static readonly string Program = Path.Combine(AppContext.BaseDirectory, "loadtest.dll");
    private readonly Process _process;
    private readonly Task<string> _output;
    private readonly Task<string> _trouble;

    private BuiltProgram(Process process, bool readsOutput)
    {
        _process = process;
        _output = readsOutput ? process.StandardOutput.ReadToEndAsync() : Task.FromResult("");
        _trouble = process.StandardError.ReadToEndAsync();
    }

    public int Id => _process.Id;

    /// <summary>Starts it in a folder.</summary>
    /// <param name="folder">Working directory.</param>
    /// <param name="readsOutput">Whether all of standard output is gathered; otherwise the test reads it line by line.</param>
    /// <param name="arguments">Arguments.</param>
    public static BuiltProgram Start(string folder, bool readsOutput, params string[] arguments) =>
        Start(Program, folder, readsOutput, arguments);

    /// <summary>Starts another assembly in a folder, gathering its standard output.</summary>
    public static BuiltProgram StartOther(string assembly, string folder, params string[] arguments) =>
        Start(assembly, folder, readsOutput: true, arguments);

    /// <summary>Starts it by way of another command, which becomes it in the end.</summary>
    /// <param name="launcher">That command and its arguments; the program's follow.</param>
    /// <param name="folder">Working directory.</param>
    /// <param name="arguments">Arguments.</param>
    public static BuiltProgram StartThrough(string[] launcher, string folder, params string[] arguments) =>
        Start(Program, folder, readsOutput: true, arguments, launcher);

    private static BuiltProgram Start(
        string assembly,
        string folder,
        bool readsOutput,
        string[] arguments,
        string[]? launcher = null
    )
    {
        string[] command = [.. launcher ?? [], Environment.GetEnvironmentVariable("DOTNET_HOST_PATH") ?? "dotnet"];
        var start = new ProcessStartInfo(command[0])
        {
            WorkingDirectory = folder,
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            StandardOutputEncoding = System.Text.Encoding.UTF8,
            StandardErrorEncoding = System.Text.Encoding.UTF8,
        };
        foreach (var argument in command[1..])
            start.ArgumentList.Add(argument);
        start.ArgumentList.Add("exec");
        start.ArgumentList.Add(assembly);
        foreach (var argument in arguments)
            start.ArgumentList.Add(argument);
        return new BuiltProgram(Process.Start(start)!, readsOutput);
    }

    /// <summary>Runs a command to its end.</summary>
    public static async Task<Ended> RunAsync(string folder, params string[] arguments)
    {
        using var program = Start(folder, readsOutput: true, arguments);
        program._process.StandardInput.Close();
        return await program.EndAsync();
    }

    /// <summary>Runs a command to its end with these lines as its standard input.</summary>
    public static async Task<Ended> RunWithInputAsync(
        string folder,
        IEnumerable<string> lines,
        params string[] arguments
    )
    {
        using var program = Start(folder, readsOutput: true, arguments);
        try
        {
            foreach (var line in lines)
                await program._process.StandardInput.WriteLineAsync(line);
            program._process.StandardInput.Close();
        }
        catch (IOException)
        {
            // It ended before it had read everything, which its answers may ask for.
        }
        return await program.EndAsync();
    }

    /// <summary>The next line of standard output.</summary>
    public async Task<string> LineAsync() =>
        await _process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken)
        ?? throw new InvalidOperationException($"The program ended: {await _trouble}");

    /// <summary>Sends a signal by its number.</summary>
    public void Signal(int number) => Assert.Equal(0, kill(_process.Id, number));

    /// <summary>Waits for its end.</summary>
    public async Task<Ended> EndAsync()
    {
        await _process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return new Ended(_process.ExitCode, await _output, await _trouble);
    }

    public void Dispose()
    {
        if (!_process.HasExited)
            _process.Kill(entireProcessTree: true);
        _process.Dispose();
    }

    [DllImport("libc", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int kill(int pid, int signal);
}
