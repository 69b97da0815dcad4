using System.Text;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records;

/// <summary>The folder of one run: what its files are called, and who may write in it.</summary>
public sealed class RunFolder : IDisposable
{
    /// <summary>Name of the record.</summary>
    public const string RecordName = "record.json";

    /// <summary>Name of the report.</summary>
    public const string ReportName = "report.html";

    /// <summary>Name of the table of readings.</summary>
    public const string ReadingsName = "readings.csv";

    /// <summary>Name of the folder of the pictures.</summary>
    public const string PlotsName = "plots";

    private const int LongestId = 80;
    private readonly FileStream? _lock;

    private RunFolder(string path, FileStream? held)
    {
        Path = path;
        _lock = held;
    }

    /// <summary>The folder's path.</summary>
    public string Path { get; }

    /// <summary>The journal.</summary>
    public string Journal => In("journal");

    /// <summary>The record.</summary>
    public string Record => In(RecordName);

    /// <summary>The report.</summary>
    public string Report => In(ReportName);

    /// <summary>Every raw reading, for a spreadsheet.</summary>
    public string Readings => In(ReadingsName);

    /// <summary>The folder of the pictures.</summary>
    public string Plots => In(PlotsName);

    /// <summary>The program's own log; diagnostics, never evidence.</summary>
    public string Log => In("log.jsonl");

    /// <summary>Creates the folder of a new run and holds it until disposed.</summary>
    /// <param name="root">Folder of all runs; created when missing.</param>
    /// <param name="runId">Letters, digits, point, hyphen and underscore, at most 80, not beginning with a point.</param>
    /// <exception cref="ArgumentException">The id is none.</exception>
    /// <exception cref="IOException">There is a run of this id already, or the folder cannot be made.</exception>
    public static RunFolder Create(string root, string runId)
    {
        if (!IsId(runId))
            throw new ArgumentException(
                $"Run id \"{runId}\": use letters, digits, \".\", \"-\" and \"_\", at most {LongestId}, not beginning with \".\".",
                nameof(runId)
            );
        var path = System.IO.Path.Combine(root, runId);
        Directory.CreateDirectory(root);
        if (Directory.Exists(path))
            throw new IOException($"Run {runId} exists already in {root}. Give this run another id.");
        Directory.CreateDirectory(path);
        var held = new FileStream(
            System.IO.Path.Combine(path, "lock"),
            new FileStreamOptions
            {
                Mode = FileMode.CreateNew,
                Access = FileAccess.Write,
                Share = FileShare.Read,
                Options = FileOptions.DeleteOnClose,
            }
        );
        held.Write(Encoding.UTF8.GetBytes($"{Environment.ProcessId}\n"));
        held.Flush();
        DirectorySync.Sync(root);
        return new RunFolder(path, held);
    }

    /// <summary>The folder of a run that is over, for reading and for making its report again.</summary>
    /// <param name="path">The folder.</param>
    /// <param name="needsJournal">False where a journal that was taken away is about to be put back.</param>
    /// <exception cref="IOException">There is no journal in it, or another process is still writing it.</exception>
    public static RunFolder Open(string path, bool needsJournal = true)
    {
        var folder = new RunFolder(path, held: null);
        if (needsJournal && !File.Exists(folder.Journal))
            throw new IOException($"{VisibleText.Of(path)} holds no file \"journal\". Give the folder of a run.");
        if (needsJournal)
            RegularFile.Demand(folder.Journal);
        if (File.Exists(folder.In("lock")) && IsHeld(folder.In("lock")))
            throw new IOException($"The run in {path} is still being written. Wait for it to end.");
        return folder;
    }

    /// <summary>The folder of a run whose writer is gone, held until disposed; null while somebody holds it.</summary>
    public static RunFolder? Hold(string path)
    {
        try
        {
            return new RunFolder(
                path,
                new FileStream(
                    System.IO.Path.Combine(path, "lock"),
                    new FileStreamOptions
                    {
                        Mode = FileMode.OpenOrCreate,
                        Access = FileAccess.Write,
                        Share = FileShare.None,
                        Options = FileOptions.DeleteOnClose,
                    }
                )
            );
        }
        catch (Exception held) when (held is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>Writes a file whole: beside it first, then renamed, so that nobody ever reads half of it.</summary>
    public static void WriteWhole(string path, ReadOnlySpan<byte> bytes)
    {
        var beside = path + ".new";
        using (var file = new FileStream(beside, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0))
        {
            file.Write(bytes);
            file.Flush(flushToDisk: true);
        }
        File.Move(beside, path, overwrite: true);
        DirectorySync.Sync(System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(path))!);
    }

    /// <inheritdoc/>
    public void Dispose() => _lock?.Dispose();

    private string In(string name) => System.IO.Path.Combine(Path, name);

    private static bool IsId(string id) =>
        id.Length is > 0 and <= LongestId
        && id[0] != '.'
        && id.All(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-' or '_');

    private static bool IsHeld(string path)
    {
        try
        {
            using var probe = new FileStream(path, FileMode.Open, FileAccess.ReadWrite, FileShare.None);
            return false;
        }
        catch (IOException)
        {
            return true;
        }
    }
}
