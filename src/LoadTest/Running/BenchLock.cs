using System.Globalization;

namespace LoadTest.Running;

/// <summary>Holds every line of a bench for this process: one process owns a bench.</summary>
/// <remarks>
/// One lock file a line, named by its address, in the machine's folder for temporary files, so that two bench files that name
/// the same bank collide too. The system lets go of it when the process ends, however it ends; the file stays, because
/// removing it would let two processes lock two files of one name.
/// </remarks>
internal sealed class BenchLock : IDisposable
{
    private readonly List<FileStream> _held = [];

    private BenchLock() { }

    /// <summary>Takes the lines.</summary>
    /// <param name="addresses">Address of each line: host and port, or the serial port itself.</param>
    /// <param name="folder">Folder of the lock files; null for the machine's own.</param>
    /// <exception cref="IOException">Another process holds one of them, or the lock cannot be made.</exception>
    public static BenchLock Take(IEnumerable<string> addresses, string? folder = null)
    {
        folder ??= Path.Combine(Path.GetTempPath(), "loadtest-lines");
        var locks = new BenchLock();
        try
        {
            Directory.CreateDirectory(folder);
            // One order for everybody: of two processes that share lines, one gets them all.
            foreach (
                var address in addresses
                    .Select(a => a.ToLowerInvariant())
                    .Distinct(StringComparer.Ordinal)
                    .Order(StringComparer.Ordinal)
            )
                locks._held.Add(Hold(address, Path.Combine(folder, FileName(address))));
            return locks;
        }
        catch (UnauthorizedAccessException trouble)
        {
            locks.Dispose();
            throw new IOException(
                $"The lines of this bench could not be locked: {trouble.Message} Another user may have used them first; remove {folder} as that user.",
                trouble
            );
        }
        catch (IOException)
        {
            locks.Dispose();
            throw;
        }
    }

    /// <summary>Lets go of every line.</summary>
    public void Dispose()
    {
        foreach (var file in _held)
            file.Dispose();
        _held.Clear();
    }

    private static FileStream Hold(string address, string path)
    {
        FileStream held;
        try
        {
            held = new FileStream(path + ".lock", FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException trouble) when (trouble is not DirectoryNotFoundException)
        {
            throw new IOException(
                $"The line {address} is in use by {Owner(path)}. One process owns a bench: end that one, or wait for it.",
                trouble
            );
        }
        // Beside the lock, because nobody else can open a locked file on every system.
        File.WriteAllText(path + ".pid", Environment.ProcessId.ToString(CultureInfo.InvariantCulture));
        return held;
    }

    private static string Owner(string path)
    {
        try
        {
            return int.TryParse(
                File.ReadAllText(path + ".pid"),
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out var pid
            )
                ? $"process {pid}"
                : "another process";
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            return "another process";
        }
    }

    private static string FileName(string address) =>
        "line-" + new string([.. address.Select(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-' ? c : '_')]);
}
