using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>A journal whose file another program takes away, replaces or cuts while the run writes it.</summary>
public sealed class JournalPlaceTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("place");

    private string Journal => Path.Combine(_folder.FullName, "journal");

    public void Dispose() => _folder.Delete(recursive: true);

    [Theory]
    [InlineData("deleted", "was deleted or moved away")]
    [InlineData("moved", "was deleted or moved away")]
    [InlineData("replaced", "was replaced by another file")]
    [InlineData("link", "was replaced by another file")]
    [InlineData("folder deleted", "was deleted or moved away")]
    public void File_that_is_taken_away_is_noticed_at_the_next_sync_and_everything_is_kept(string deed, string words)
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "files told apart by their numbers on Linux");
        var (trouble, rest, count) = Write(() => Do(deed));

        Assert.Contains(words, trouble, StringComparison.Ordinal);
        var elsewhere = Path.Combine(Directory.CreateTempSubdirectory("rest").FullName, "journal");
        var whole = JournalRepair.PutBack(elsewhere, rest);
        Assert.Null(whole.Bad);
        Assert.Equal(count, whole.Entries.Length);
        Directory.CreateDirectory(_folder.FullName);
    }

    [Theory]
    [InlineData("cut", "has 10 bytes where")]
    [InlineData("lengthened", "bytes where")]
    public void File_that_another_program_cuts_or_lengthens_is_noticed_before_anything_is_written_behind_that(
        string deed,
        string words
    )
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "lengths by statx(2)");
        var (trouble, rest, _) = Write(() => Do(deed));

        Assert.Contains(words, trouble, StringComparison.Ordinal);
        Assert.NotEmpty(rest);
        Assert.DoesNotContain(SomeEntries.Frames(SomeEntries.All)[^1], [File.ReadAllBytes(Journal)], new Ends());
    }

    private void Do(string deed)
    {
        switch (deed)
        {
            case "deleted":
                File.Delete(Journal);
                break;
            case "moved":
                File.Move(Journal, Journal + "-moved");
                break;
            case "replaced":
                File.Move(Journal, Journal + "-before");
                File.WriteAllText(Journal, "another");
                break;
            case "link":
                File.Move(Journal, Journal + "-before");
                File.CreateSymbolicLink(Journal, Journal + "-before");
                break;
            case "folder deleted":
                _folder.Delete(recursive: true);
                break;
            case "cut":
                using (var file = new FileStream(Journal, FileMode.Open, FileAccess.Write, FileShare.ReadWrite))
                    file.SetLength(10);
                break;
            default:
                using (var file = new FileStream(Journal, FileMode.Append, FileAccess.Write, FileShare.ReadWrite))
                    file.WriteByte(0);
                break;
        }
    }

    /// <summary>Half of the entries made durable, then the deed, then the last one.</summary>
    private (string Trouble, byte[] Kept, int Count) Write(Action deed)
    {
        var pump = Pump.Real();
        return pump.Run(async () =>
        {
            using var journal = new JournalWriter(FileStorage.Create(Journal, pump.Context), pump);
            foreach (var entry in SomeEntries.All.SkipLast(1))
                await journal.SyncAsync(journal.Append(entry));
            deed();
            var last = journal.Append(SomeEntries.All[^1]);
            await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(last));
            Assert.Equal(last - 1, journal.Acknowledged);
            Assert.Equal(journal.Trouble, await journal.Lost);
            return (journal.Trouble!, journal.Rest.ToArray(), SomeEntries.All.Count);
        });
    }

    private sealed class Ends : IEqualityComparer<byte[]>
    {
        public bool Equals(byte[]? x, byte[]? y) => x!.AsSpan().EndsWith(y) || y!.AsSpan().EndsWith(x);

        public int GetHashCode(byte[] obj) => 0;
    }
}
