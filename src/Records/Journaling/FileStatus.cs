using System.Runtime.InteropServices;

namespace LoadTest.Records.Journaling;

/// <summary>Which file a name or a handle leads to, by statx(2); Linux only.</summary>
/// <param name="Device">Number of the device the file is on, major and minor.</param>
/// <param name="Inode">Its number there.</param>
/// <param name="Length">Bytes.</param>
/// <param name="Links">How many names it has.</param>
/// <param name="Owner">Number of the user it belongs to.</param>
/// <param name="IsRegular">Whether it is an ordinary file, and no link, folder, pipe or device.</param>
/// <param name="Special">Number of the device it stands for, major and minor, where it is a device.</param>
public sealed record FileStatus(
    (uint Major, uint Minor) Device,
    ulong Inode,
    ulong Length,
    uint Links,
    uint Owner,
    bool IsRegular,
    (uint Major, uint Minor) Special
)
{
    private const int CurrentFolder = -100;
    private const int NotThroughLinks = 0x100;
    private const int OfHandle = 0x1000;
    private const uint BasicFields = 0x7FF;
    private const int StatusLength = 256;
    private const int TypeMask = 0xF000;
    private const int RegularType = 0x8000;

    /// <summary>Whether two are one file, whatever its length meanwhile.</summary>
    public bool IsSameFile(FileStatus other) => other is not null && (Device, Inode) == (other.Device, other.Inode);

    /// <summary>The file at a path; null when there is none, or the system does not say.</summary>
    /// <param name="path">The path.</param>
    /// <param name="followsLink">Whether a link at its end is followed.</param>
    public static FileStatus? Of(string path, bool followsLink = true) =>
        OperatingSystem.IsLinux() ? Read(CurrentFolder, path, followsLink ? 0 : NotThroughLinks) : null;

    /// <summary>The file an open handle has, even when its name is gone; null when the system does not say.</summary>
    public static FileStatus? Of(SafeHandle handle)
    {
        ArgumentNullException.ThrowIfNull(handle);
        return OperatingSystem.IsLinux() ? Read((int)handle.DangerousGetHandle(), "", OfHandle) : null;
    }

    // The fields of struct statx are at the same place on every processor.
    private static FileStatus? Read(int folder, string path, int flags)
    {
        var status = new byte[StatusLength];
        if (statx(folder, path, flags, BasicFields, status) != 0)
            return null;
        uint At(int offset) => BitConverter.ToUInt32(status, offset);
        return new FileStatus(
            (At(0x88), At(0x8C)),
            BitConverter.ToUInt64(status, 0x20),
            BitConverter.ToUInt64(status, 0x28),
            At(0x10),
            At(0x14),
            (BitConverter.ToUInt16(status, 0x1C) & TypeMask) == RegularType,
            (At(0x80), At(0x84))
        );
    }

    [DllImport(
        "libc",
        SetLastError = true,
        CharSet = CharSet.Ansi,
        BestFitMapping = false,
        ThrowOnUnmappableChar = true
    )]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int statx(int folder, string path, int flags, uint fields, byte[] status);
}
