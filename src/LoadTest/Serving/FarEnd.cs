using System.Globalization;
using System.Net;
using System.Runtime.Versioning;

namespace LoadTest.Serving;

/// <summary>Which process of this machine has the other end of a line, by proc(5) of Linux.</summary>
[SupportedOSPlatform("linux")]
internal static class FarEnd
{
    private const int WordLength = 8;

    /// <summary>The process whose socket our connection ends in; null when the system does not say.</summary>
    /// <param name="own">Our end.</param>
    /// <param name="port">Port it was connected to.</param>
    public static int? OfConnection(IPEndPoint own, int port) =>
        Inode(own, port) is { } inode ? Holder(link => link == $"socket:[{inode}]", _ => true) : null;

    /// <summary>The process that has the master of a pseudo-terminal; null when the system does not say.</summary>
    /// <param name="terminal">Name of the terminal, or of a link to it.</param>
    public static int? OfTerminal(string terminal)
    {
        var path = File.ResolveLinkTarget(terminal, returnFinalTarget: true)?.FullName ?? Path.GetFullPath(terminal);
        var number = $"tty-index:\t{Path.GetFileName(path)}";
        return Holder(
            link => link is "/dev/ptmx" or "/dev/pts/ptmx",
            handle =>
                File.ReadLines(handle.Replace("/fd/", "/fdinfo/", StringComparison.Ordinal))
                    .Contains(number, StringComparer.Ordinal)
        );
    }

    /// <summary>Whether a process has this program's own file loaded.</summary>
    public static bool IsThisProgram(int process)
    {
        var own = typeof(Program).Assembly.Location is { Length: > 0 } file ? file : Environment.ProcessPath!;
        try
        {
            return File.ReadLines($"/proc/{process}/maps").Any(l => l.EndsWith(" " + own, StringComparison.Ordinal));
        }
        catch (Exception hidden) when (hidden is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static string? Inode(IPEndPoint own, int port)
    {
        foreach (var table in new[] { "/proc/net/tcp", "/proc/net/tcp6" })
        {
            if (!File.Exists(table))
                continue;
            foreach (var line in File.ReadLines(table).Skip(1))
            {
                if (
                    line.Split(' ', StringSplitOptions.RemoveEmptyEntries)
                        is [_, var local, var far, _, _, _, _, _, _, var inode, ..]
                    && Parse(local).Port == port
                    && Parse(far) is var end
                    && end.Port == own.Port
                    && end.Address.Equals(Plain(own.Address))
                )
                    return inode;
            }
        }
        return null;
    }

    // Words of four bytes, each with the lowest byte first, on the machines this runs on.
    private static IPEndPoint Parse(string text)
    {
        var (address, port) = (text.Split(':')[0], text.Split(':')[1]);
        var bytes = new List<byte>();
        for (var at = 0; at < address.Length; at += WordLength)
            bytes.AddRange(Convert.FromHexString(address[at..(at + WordLength)]).Reverse());
        return new IPEndPoint(
            Plain(new IPAddress(bytes.ToArray())),
            int.Parse(port, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture)
        );
    }

    private static IPAddress Plain(IPAddress address) => address.IsIPv4MappedToIPv6 ? address.MapToIPv4() : address;

    private static int? Holder(Func<string, bool> leadsThere, Func<string, bool> isIt)
    {
        foreach (var folder in Directory.EnumerateDirectories("/proc"))
        {
            if (
                !int.TryParse(
                    Path.GetFileName(folder),
                    NumberStyles.None,
                    CultureInfo.InvariantCulture,
                    out var process
                )
            )
                continue;
            try
            {
                foreach (var handle in Directory.EnumerateFileSystemEntries(Path.Combine(folder, "fd")))
                {
                    if (new FileInfo(handle).LinkTarget is { } link && leadsThere(link) && isIt(handle))
                        return process;
                }
            }
            catch (Exception hidden) when (hidden is IOException or UnauthorizedAccessException)
            {
                // It has ended, or is another user's.
            }
        }
        return null;
    }
}
