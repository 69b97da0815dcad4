using LoadTest.Sequencer.Journal;
using Serilog;
using Serilog.Core;
using Serilog.Events;
using Serilog.Formatting.Compact;

namespace LoadTest.Running;

/// <summary>The program's own log of a run: diagnostics for whoever mends the program, never evidence.</summary>
internal sealed class RunLog : IDisposable
{
    private readonly Logger _log;

    /// <summary>Opens the log.</summary>
    /// <param name="path">File of compact JSON, one event a line; null for none.</param>
    /// <param name="isVerbose">Whether it is shown on standard error too.</param>
    public RunLog(string? path, bool isVerbose)
    {
        var log = new LoggerConfiguration().MinimumLevel.Debug();
        if (path is not null)
            log = log.WriteTo.File(new CompactJsonFormatter(), path);
        if (isVerbose)
            log = log.WriteTo.Console(
                standardErrorFromLevel: LogEventLevel.Verbose,
                outputTemplate: "{Timestamp:HH:mm:ss.fff} {Level:u3} {Message:lj}{NewLine}{Exception}"
            );
        _log = log.CreateLogger();
    }

    /// <summary>Something happened.</summary>
    public void Note(string template, params object?[] values) => _log.Information(template, values);

    /// <summary>Something went wrong.</summary>
    public void Wrong(Exception trouble, string template, params object?[] values) =>
        _log.Error(trouble, template, values);

    /// <summary>An entry went into the journal; scans, states and files are too many and too long to repeat here.</summary>
    public void Entry(JournalEntry entry)
    {
        if (entry is not (Scanned or StatesRead or FileEmbedded))
            _log.Debug("{At} {Kind} {Entry}", entry.At, entry.GetType().Name, entry.ToString());
    }

    /// <inheritdoc/>
    /// <remarks>A full disk keeps its last lines from being written; that must not hide what became of the run.</remarks>
    public void Dispose()
    {
        try
        {
            _log.Dispose();
        }
        catch (IOException) { }
    }
}
