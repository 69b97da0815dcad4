namespace LoadTest.Records.Journaling;

/// <summary>Whether a journal's path still leads to the file that is being written, and nobody else changed its length; Linux only.</summary>
/// <remarks>A file whose name is gone takes every write and every sync, and is lost when it is closed.</remarks>
/// <param name="path">The path.</param>
/// <param name="file">The file, open for reading too.</param>
internal sealed class JournalPlace(string path, FileStream file)
{
    private readonly string _path = Path.GetFullPath(path);

    /// <summary>Looks, at any time between two writes.</summary>
    /// <exception cref="JournalGoneException">It is another file, none, or of another length than was written.</exception>
    public void Demand()
    {
        if (FileStatus.Of(file.SafeFileHandle) is not { } open)
            return;
        var named = FileStatus.Of(_path, followsLink: false);
        var found =
            named is null ? "was deleted or moved away"
            : !named.IsSameFile(open) ? "was replaced by another file"
            : open.Length != (ulong)file.Position ? $"has {open.Length} bytes where {file.Position} were written"
            : null;
        if (found is not null)
            throw new JournalGoneException(
                $"{_path} {found} by another program while the run was writing it.",
                Written(open)
            );
    }

    private byte[] Written(FileStatus open)
    {
        if (open.Length < (ulong)file.Position)
            return [];
        var bytes = new byte[file.Position];
        var got = 0;
        while (
            got < bytes.Length && RandomAccess.Read(file.SafeFileHandle, bytes.AsSpan(got), got) is > 0 and var count
        )
            got += count;
        return got == bytes.Length ? bytes : [];
    }
}
