namespace LoadTest.Serving;

/// <summary>Where a simulated bench is served, and who is told of what passes.</summary>
/// <param name="Port">TCP port wanted for an instrument by its place in the list, the hands last; 0 for any.</param>
/// <param name="Links">Folder of the links to pseudo-terminals, one an instrument on a serial line, by its id; made when it is missing.</param>
/// <param name="Trace">Told of everything that passes: device, whether it came in, bytes; on the pump; null for nobody.</param>
internal sealed record ServerSetting(
    Func<int, int> Port,
    string Links,
    Action<string, bool, ReadOnlyMemory<byte>>? Trace = null
)
{
    /// <summary>A folder of this process for links nobody named a place for.</summary>
    public static string OwnLinks => Path.Combine(Path.GetTempPath(), $"loadtest-wires-{Environment.ProcessId}");

    /// <summary>Takes the folder of this process away again, when nothing is left in it.</summary>
    public static void LeaveOwnLinks()
    {
        if (Directory.Exists(OwnLinks) && !Directory.EnumerateFileSystemEntries(OwnLinks).Any())
            Directory.Delete(OwnLinks);
    }

    /// <summary>Path of the link of an instrument.</summary>
    public string Link(string instrument)
    {
        Directory.CreateDirectory(Links);
        return Path.Combine(Path.GetFullPath(Links), instrument);
    }
}
