using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;

namespace LoadTest.RecordsTests.Journaling;

public sealed class JournalWriterTests
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Sync_in_virtual_time_completes_later_and_acknowledges_everything_before_it()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            using var journal = new JournalWriter(new VirtualStorage(null, pump, 7));
            journal.Append(SomeEntries.All[0]);
            var last = journal.Append(SomeEntries.All[1]);
            var began = pump.GetTimestamp();
            Assert.Equal(-1, journal.Acknowledged);
            await journal.SyncAsync(last);
            Assert.Equal(last, journal.Acknowledged);
            Assert.InRange(pump.GetElapsedTime(began).TotalMilliseconds, 0.2, 9);
            await journal.SyncAsync(0);
        });
    }

    [Fact]
    public void Frames_nobody_asks_to_sync_become_durable_within_a_quarter_second()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            using var journal = new JournalWriter(new VirtualStorage(null, pump, 7));
            journal.Append(SomeEntries.All[0]);
            for (var i = 0; i < 50; i++)
            {
                var number = journal.Append(new Remarked(TimeSpan.Zero, "x"));
                await Task.Delay(TimeSpan.FromMilliseconds(10), pump, CancellationToken.None);
                Assert.True(number - journal.Acknowledged <= 25, $"{number} {journal.Acknowledged}");
            }
        });
    }

    [Fact]
    public void Bytes_do_not_depend_on_how_often_the_journal_was_synced()
    {
        byte[] Run(bool syncEach, ulong seed)
        {
            var pump = Pump.Virtual(Start);
            return pump.Run(async () =>
            {
                using var storage = new VirtualStorage(null, pump, seed);
                using var journal = new JournalWriter(storage);
                foreach (var entry in SomeEntries.All)
                {
                    var number = journal.Append(entry);
                    if (syncEach)
                        await journal.SyncAsync(number);
                }
                return storage.Bytes.ToArray();
            });
        }

        Assert.Equal(Run(false, 1), Run(true, 2));
        Assert.Equal(SomeEntries.Bytes(SomeEntries.All), Run(true, 3));
    }

    [Fact]
    public void Real_file_holds_what_was_acknowledged_before_it_is_closed()
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("journal").FullName, "journal");
        var pump = Pump.Real();
        pump.Run(async () =>
        {
            using var journal = new JournalWriter(FileStorage.Create(path, pump.Context));
            foreach (var entry in SomeEntries.All)
                await journal.SyncAsync(journal.Append(entry));
            Assert.Equal(SomeEntries.All.Count, JournalContents.Read(path).Entries.Length);
            Assert.Equal(SomeEntries.All.Count - 1, journal.Acknowledged);
            Assert.Equal(JournalContents.Read(path).Head, journal.Head);
        });
        Assert.Equal(SomeEntries.Bytes(SomeEntries.All), File.ReadAllBytes(path));
        Assert.Throws<IOException>(() => FileStorage.Create(path, pump.Context));
    }

    [Fact]
    public void Closing_keeps_frames_nobody_synced()
    {
        var folder = Directory.CreateTempSubdirectory("journal").FullName;
        var real = Pump.Real();
        real.Run(() =>
        {
            using var journal = new JournalWriter(FileStorage.Create(Path.Combine(folder, "real"), real.Context));
            foreach (var entry in SomeEntries.All)
                journal.Append(entry);
            return Task.CompletedTask;
        });
        var jumping = Pump.Virtual(Start);
        jumping.Run(() =>
        {
            using var journal = new JournalWriter(new VirtualStorage(Path.Combine(folder, "virtual"), jumping, 1));
            foreach (var entry in SomeEntries.All)
                journal.Append(entry);
            return Task.CompletedTask;
        });

        Assert.Equal(SomeEntries.Bytes(SomeEntries.All), File.ReadAllBytes(Path.Combine(folder, "real")));
        Assert.Equal(SomeEntries.Bytes(SomeEntries.All), File.ReadAllBytes(Path.Combine(folder, "virtual")));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void First_failing_write_or_sync_ends_the_journal_and_the_handle_is_left_alone(bool failsInWrite)
    {
        for (var good = 0; good < 5; good++)
        {
            var file = new FailingStream(good, failsInWrite);
            var pump = Pump.Real();
            pump.Run(async () =>
            {
                using var journal = new JournalWriter(new FileStorage(file, file.MakeDurable, pump.Context));
                for (var i = 0; i < good; i++)
                    await journal.SyncAsync(journal.Append(SomeEntries.All[0]));
                var number = journal.Append(SomeEntries.All[0]);
                var failure = await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(number));
                Assert.Contains("No space left", failure.Message, StringComparison.Ordinal);
                Assert.Equal(good - 1, journal.Acknowledged);
                Assert.Throws<IOException>(() => journal.Append(SomeEntries.All[0]));
                await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(number));
            });
            Assert.Equal(1, file.CallsFromFailureOn);
        }
    }

    /// <summary>A disk that fills up, or whose sync fails, after some good rounds.</summary>
    private sealed class FailingStream(int goodRounds, bool failsInWrite) : MemoryStream
    {
        private int _rounds;

        public int CallsFromFailureOn { get; private set; }

        public override void Write(byte[] buffer, int offset, int count)
        {
            if (failsInWrite)
                Count();
            base.Write(buffer, offset, count);
        }

        public void MakeDurable()
        {
            if (!failsInWrite)
                Count();
        }

        private void Count()
        {
            if (_rounds++ < goodRounds)
                return;
            CallsFromFailureOn++;
            throw new IOException("No space left on device.");
        }
    }
}
