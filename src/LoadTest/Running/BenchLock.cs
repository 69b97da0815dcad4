using System.Runtime.Versioning;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Running;

/// <summary>Holds every line of a bench for this process: one process of this machine owns a bench, whoever started it.</summary>
/// <remarks>
/// One lock a line, named by what the line leads to (<see cref="LineKey"/>), at one place of the machine that neither user nor environment
/// changes. What another machine does with the same bank cannot be seen from here.
/// </remarks>
internal sealed class BenchLock : IDisposable
{
    // In this order, and by their modes alone, so that every user comes to the same one.
    private static readonly string[] s_places = ["/run/lock", "/var/lock", "/dev/shm", "/tmp"];
    private const UnixFileMode Everybodys =
        UnixFileMode.StickyBit | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;

    private readonly List<IDisposable> _held = [];

    private BenchLock() { }

    /// <summary>Takes the lines.</summary>
    /// <param name="lines">The lines; those without a wire need no lock.</param>
    /// <param name="folder">On Linux, folder of the lock files; null for the machine's own.</param>
    /// <exception cref="IOException">Another process holds one of them, or the lock cannot be made.</exception>
    public static BenchLock Take(IEnumerable<LineText> lines, string? folder = null)
    {
        var locks = new BenchLock();
        try
        {
            // One order for everybody: of two processes that share lines, one gets them all.
            foreach (
                var key in lines
                    .SelectMany(LineKey.Of)
                    .DistinctBy(k => k.Name, StringComparer.Ordinal)
                    .OrderBy(k => k.Name, StringComparer.Ordinal)
            )
            {
                locks._held.Add(
                    OperatingSystem.IsLinux()
                        ? LockFile.Hold(Path.Combine(folder ?? Place(), $"loadtest-{key.Name}.lock"), key.Words)
                        : HoldName(key)
                );
            }
            return locks;
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
        foreach (var held in _held)
            held.Dispose();
        _held.Clear();
    }

    /// <summary>What is said when a line has another owner.</summary>
    internal static IOException InUse(string line, string owner) =>
        new($"The line {line} is in use by {owner}. One process owns a bench: end that one, or wait for it.");

    [SupportedOSPlatform("linux")]
    private static string Place() =>
        s_places.FirstOrDefault(p => Directory.Exists(p) && (File.GetUnixFileMode(p) & Everybodys) == Everybodys)
        ?? throw new IOException(
            $"The lines of this bench could not be locked: this machine has no folder that every user may write to ({string.Join(", ", s_places)})."
        );

    // The name exists in the whole system for as long as somebody has it; another user is not even let look.
    private static Mutex HoldName(LineKey key)
    {
        try
        {
            var name = new Mutex(initiallyOwned: false, $@"Global\loadtest-{key.Name}", out var isNew);
            if (isNew)
                return name;
            name.Dispose();
        }
        catch (UnauthorizedAccessException)
        {
            // It exists, and is another user's.
        }
        throw InUse(key.Words, "another process");
    }
}
