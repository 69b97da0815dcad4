using System.Collections.Concurrent;
using LoadTest.Records.Journaling;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>The thread that writes: what it gathers, when it is due, and what closing waits for.</summary>
public sealed class FileStorageTests
{
    // Long enough to write that a thread which did not wait would have begun meanwhile.
    private const int Many = 100_000;

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    // Asked for when there is nothing to sync, a sync is none.
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Frames_gather_until_a_sync_is_asked_for_and_go_with_one_write(bool isAskedTooEarly)
    {
        using var told = new Told();
        using var disk = new Disk();
        using var storage = Gathering(disk, told);
        if (isAskedTooEarly)
            storage.RequestSync();
        Append(storage, Many);
        storage.RequestSync();
        Assert.Equal((Many, null), told.Next());
        Assert.Equal([$"write {Many}", "durable"], disk.Seen);
    }

    [Fact]
    public void Frames_nobody_asks_to_sync_are_written_once_they_have_gathered_long_enough()
    {
        using var told = new Told();
        using var disk = new Disk();
        using var storage = new FileStorage(disk, disk.MakeDurable, told, TimeSpan.FromMilliseconds(1))
        {
            Synced = told.Hear,
        };
        for (var count = 1; count <= 3; count++)
        {
            Append(storage, 1);
            Assert.Equal((count, null), told.Next());
        }
    }

    [Fact]
    public void Sync_asked_for_while_the_disk_is_busy_comes_behind_and_covers_what_gathered_meanwhile()
    {
        using var told = new Told();
        using var disk = new Disk { IsBusy = true };
        using var storage = Gathering(disk, told);
        Append(storage, 1);
        storage.RequestSync();
        disk.AwaitBusy();
        Append(storage, 2);
        storage.RequestSync();
        disk.Release();
        Assert.Equal((1, null), told.Next());
        Assert.Equal((3, null), told.Next());
        // One sync was asked for; what comes now gathers again.
        Append(storage, Many);
        storage.RequestSync();
        Assert.Equal((Many + 3, null), told.Next());
        Assert.Equal(["write 1", "durable", "write 2", "durable", $"write {Many}", "durable"], disk.Seen);
    }

    [Fact]
    public void Sync_asked_for_again_while_all_is_being_written_is_the_one_under_way()
    {
        using var told = new Told();
        using var disk = new Disk { IsBusy = true };
        using var storage = Gathering(disk, told);
        Append(storage, 1);
        storage.RequestSync();
        disk.AwaitBusy();
        storage.RequestSync();
        disk.Release();
        Assert.Equal((1, null), told.Next());
        Append(storage, Many);
        storage.RequestSync();
        Assert.Equal((Many + 1, null), told.Next());
        Assert.Equal(["write 1", "durable", $"write {Many}", "durable"], disk.Seen);
    }

    // Often, so that the thread is met on its way as well as waiting.
    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    public void Closing_writes_what_gathered_waits_until_it_is_durable_and_closes_the_file_last(int frames)
    {
        for (var trial = 0; trial < 100; trial++)
        {
            using var told = new Told();
            using var disk = new Disk();
            var storage = Gathering(disk, told);
            Append(storage, frames);
            if (trial % 2 == 0)
                Thread.Yield();
            storage.Dispose();
            string[] expected = frames == 0 ? ["closed"] : [$"write {frames}", "durable", "closed"];
            Assert.Equal(expected, disk.Seen, StringComparer.Ordinal);
        }
    }

    [Fact]
    public void First_error_is_told_as_it_came_and_is_the_last_thing_heard_of_this_disk()
    {
        using var told = new Told();
        var full = new IOException("No space left on device.");
        using var disk = new Disk { Error = full, ErrorOnClosing = new IOException("Still none.") };
        using (var storage = Gathering(disk, told))
        {
            Append(storage, 1);
            storage.RequestSync();
            var (count, error) = told.Next();
            Assert.Equal(1, count);
            Assert.Same(full, error);
            Append(storage, 1);
            storage.RequestSync();
        }
        Assert.Equal(["write 1", "closed"], disk.Seen);
        Assert.True(told.IsSilent);
    }

    [Fact]
    public void Error_on_closing_a_disk_that_had_none_before_is_not_kept_quiet()
    {
        using var told = new Told();
        using var disk = new Disk { ErrorOnClosing = new IOException("Lost it.") };
        var storage = Gathering(disk, told);
        Append(storage, 1);
        Assert.Equal("Lost it.", Assert.Throws<IOException>(storage.Dispose).Message);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Disk_that_refuses_for_another_reason_than_its_own_is_told_as_lost_in_its_own_words(bool isClosed)
    {
        using var told = new Told();
        Exception refusal = isClosed ? new ObjectDisposedException("the file") : new UnauthorizedAccessException("no");
        using var disk = new Disk { Error = refusal };
        using var storage = Gathering(disk, told);
        Append(storage, 1);
        storage.RequestSync();
        var (_, error) = told.Next();
        Assert.Equal(refusal.Message, error!.Message);
        Assert.Same(refusal, error.InnerException);
    }

    [Fact]
    public void Directory_that_cannot_be_opened_or_synced_is_named_with_what_failed()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "the process file system of Linux refuses to be synced");
        var nowhere = Path.Combine(Path.GetTempPath(), "no-such-directory");
        // open(2): 2 is ENOENT; fsync(2): 22 is EINVAL, "a special file which does not support synchronization".
        Assert.Equal(
            $"Directory {nowhere} could not be opened: error 2.",
            Assert.Throws<IOException>(() => DirectorySync.Sync(nowhere)).Message
        );
        Assert.Equal(
            "Directory /proc could not be synced: error 22.",
            Assert.Throws<IOException>(() => DirectorySync.Sync("/proc")).Message
        );
        DirectorySync.Sync(Path.GetTempPath());
    }

    private static FileStorage Gathering(Disk disk, Told told) =>
        new(disk, disk.MakeDurable, told, Timeout.InfiniteTimeSpan) { Synced = told.Hear };

    private static void Append(FileStorage storage, int frames)
    {
        for (var k = 0; k < frames; k++)
            storage.Append([1]);
    }

    /// <summary>Hears the reports, in the place of the pump.</summary>
    private sealed class Told : SynchronizationContext, IDisposable
    {
        private readonly BlockingCollection<(long, IOException?)> _reports = [];

        public bool IsSilent => _reports.Count == 0;

        public void Hear(long count, IOException? error) => _reports.Add((count, error), Cancel);

        public (long Count, IOException? Error) Next() => _reports.Take(Cancel);

        public override void Post(SendOrPostCallback d, object? state) => d(state);

        public void Dispose() => _reports.Dispose();
    }

    /// <summary>Writes down what is done to it; busy with its first sync until released, or in trouble.</summary>
    private sealed class Disk : MemoryStream
    {
        private readonly ManualResetEventSlim _isSyncing = new();
        private readonly ManualResetEventSlim _isFree = new();
        private bool _isClosed;

        public List<string> Seen { get; } = [];

        public bool IsBusy { get; init; }

        public Exception? Error { get; init; }

        public IOException? ErrorOnClosing { get; init; }

        public void AwaitBusy() => _isSyncing.Wait(Cancel);

        public void Release() => _isFree.Set();

        public override void Write(byte[] buffer, int offset, int count) => Seen.Add($"write {count}");

        public void MakeDurable()
        {
            if (Error is not null)
                throw Error;
            _isSyncing.Set();
            if (IsBusy)
                _isFree.Wait(Cancel);
            Seen.Add("durable");
        }

        protected override void Dispose(bool disposing)
        {
            if (_isClosed)
                return;
            _isClosed = true;
            Seen.Add("closed");
            _isSyncing.Dispose();
            _isFree.Dispose();
            base.Dispose(disposing);
            if (ErrorOnClosing is not null)
                throw ErrorOnClosing;
        }
    }
}
