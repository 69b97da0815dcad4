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
                using var journal = new JournalWriter(
                    new FileStorage(file, file.MakeDurable, pump.Context, JournalWriter.LongestExposure)
                );
                for (var i = 0; i < good; i++)
                    await journal.SyncAsync(journal.Append(SomeEntries.All[0]));
                var number = journal.Append(SomeEntries.All[0]);
                var failure = await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(number));
                Assert.Contains("No space left", failure.Message, StringComparison.Ordinal);
                Assert.Equal(good - 1, journal.Acknowledged);
                Assert.Equal(journal.Trouble, await journal.Lost);
                Assert.Equal(number + 1, journal.Append(SomeEntries.All[1]));
                var all = Enumerable.Repeat(SomeEntries.All[0], good + 1).Append(SomeEntries.All[1]);
                Assert.Equal(SomeEntries.Frames(all).Skip(good).SelectMany(f => f).ToArray(), journal.Rest.ToArray());
                await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(number));
            });
            Assert.Equal(1, file.CallsFromFailureOn);
        }
    }

    [Fact]
    public void Disk_that_does_not_answer_for_two_seconds_is_lost()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            journal.Append(SomeEntries.All[0]);
            await Task.Delay(TimeSpan.FromSeconds(1), pump, CancellationToken.None);
            silent.Synced!(1, null);
            var number = journal.Append(SomeEntries.All[1]);
            var began = pump.GetTimestamp();
            var failure = await Assert.ThrowsAsync<IOException>(() => journal.SyncAsync(number));
            Assert.Equal(JournalWriter.LongestWait, pump.GetElapsedTime(began));
            Assert.Contains("2.0 s", failure.Message, StringComparison.Ordinal);
            Assert.Equal(TimeSpan.FromSeconds(1), journal.Exposure);
            // What comes too late is not believed any more.
            silent.Synced!(2, null);
            Assert.Equal(0, journal.Acknowledged);
            journal.Append(SomeEntries.All[2]);
            Assert.Equal(2, silent.Frames);
        });
    }

    // SIGSTOP for 10 s: the watch over the disk comes late together with everything else, and says nothing about the disk.
    [Fact]
    public void Time_in_which_the_program_itself_stood_still_is_not_held_against_the_disk()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            journal.Append(SomeEntries.All[0]);
            pump.Pass(TimeSpan.FromSeconds(10));
            await Task.Delay(TimeSpan.FromMilliseconds(1), pump, CancellationToken.None);
            Assert.Null(journal.Trouble);
            silent.Synced!(1, null);
            Assert.Equal(0, journal.Acknowledged);

            journal.Append(SomeEntries.All[1]);
            pump.Pass(TimeSpan.FromSeconds(10));
            await Task.Delay(2 * JournalWriter.LongestWait, pump, CancellationToken.None);
            Assert.NotNull(journal.Trouble);
        });
    }

    [Fact]
    public void Exposure_is_the_longest_any_frame_has_waited()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            foreach (var (milliseconds, longest) in new[] { (100, 100), (300, 300), (20, 300) })
            {
                var count = journal.Append(journal.Count == 0 ? SomeEntries.All[0] : new Remarked(TimeSpan.Zero, "x"));
                await Task.Delay(TimeSpan.FromMilliseconds(milliseconds), pump, CancellationToken.None);
                silent.Synced!(count + 1, null);
                Assert.Equal(TimeSpan.FromMilliseconds(longest), journal.Exposure);
            }
            Assert.Throws<ArgumentOutOfRangeException>(() =>
            {
                _ = journal.SyncAsync(journal.Count);
            });
        });
    }

    [Fact]
    public void Disk_that_answers_in_time_is_watched_on_and_lost_when_it_stops()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            for (var k = 0; k < 5; k++)
            {
                var number = journal.Append(k == 0 ? SomeEntries.All[0] : new Remarked(TimeSpan.Zero, "x"));
                await Task.Delay(TimeSpan.FromSeconds(1.5), pump, CancellationToken.None);
                silent.Synced!(number + 1, null);
            }
            Assert.Null(journal.Trouble);
            journal.Append(new Remarked(TimeSpan.Zero, "y"));
            await Task.Delay(JournalWriter.LongestWait + TimeSpan.FromSeconds(2), pump, CancellationToken.None);
            Assert.NotNull(journal.Trouble);
            Assert.True(journal.Lost.IsCompleted);
        });
    }

    [Fact]
    public void Frames_that_keep_coming_do_not_put_off_the_watch_over_the_first()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            using var journal = new JournalWriter(new SilentStorage(), pump);
            var began = pump.GetTimestamp();
            for (var k = 0; k < 4; k++)
            {
                journal.Append(k == 0 ? SomeEntries.All[0] : new Remarked(TimeSpan.Zero, "x"));
                await Task.Delay(TimeSpan.FromSeconds(0.4), pump, CancellationToken.None);
            }
            await journal.Lost;
            Assert.Equal(JournalWriter.LongestWait, pump.GetElapsedTime(began));
        });
    }

    [Fact]
    public void Frame_that_comes_after_a_time_without_any_is_watched_like_the_first()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            journal.Append(SomeEntries.All[0]);
            silent.Synced!(1, null);
            await Task.Delay(TimeSpan.FromSeconds(10), pump, CancellationToken.None);
            journal.Append(new Remarked(TimeSpan.Zero, "x"));
            var began = pump.GetTimestamp();
            await journal.Lost;
            Assert.Equal(JournalWriter.LongestWait, pump.GetElapsedTime(began));
        });
    }

    [Fact]
    public void What_is_acknowledged_is_synced_already_and_asks_nothing_of_the_disk()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(() =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            var number = journal.Append(SomeEntries.All[0]);
            silent.Synced!(1, null);
            Assert.True(journal.SyncAsync(number).IsCompletedSuccessfully);
            Assert.Equal(0, silent.Requests);
            Assert.False(journal.SyncAsync(journal.Append(SomeEntries.All[1])).IsCompleted);
            Assert.Equal(1, silent.Requests);
            return Task.CompletedTask;
        });
    }

    [Fact]
    public void Disk_that_failed_once_is_not_believed_again_and_one_that_was_closed_is_not_missed()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            journal.Append(SomeEntries.All[0]);
            silent.Synced!(0, new IOException("Full."));
            silent.Synced!(1, null);
            silent.Synced!(1, new IOException("Fuller."));
            Assert.Equal(-1, journal.Acknowledged);
            Assert.Equal(SomeEntries.Bytes([SomeEntries.All[0]]), journal.Rest.ToArray());
            Assert.StartsWith("Journal storage: Full.", journal.Trouble, StringComparison.Ordinal);

            var closed = new JournalWriter(new SilentStorage(), pump);
            closed.Append(SomeEntries.All[0]);
            closed.Dispose();
            await Task.Delay(TimeSpan.FromSeconds(10), pump, CancellationToken.None);
            Assert.False(closed.Lost.IsCompleted);
        });
    }

    [Fact]
    public void Frames_kept_in_memory_are_those_not_acknowledged_however_many_come()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(() =>
        {
            var silent = new SilentStorage();
            using var journal = new JournalWriter(silent, pump);
            var frames = SomeEntries.Frames(
                Enumerable
                    .Range(0, 900)
                    .Select(i => i == 0 ? SomeEntries.All[0] : new Remarked(TimeSpan.Zero, new string('x', i)))
            );
            for (var i = 0; i < frames.Count; i++)
            {
                journal.Append(i == 0 ? SomeEntries.All[0] : new Remarked(TimeSpan.Zero, new string('x', i)));
                if (i % 7 == 3)
                    silent.Synced!(i - 2, null);
                var expected = frames.Skip((int)journal.Acknowledged + 1).Take(i - (int)journal.Acknowledged);
                if (i % 50 == 0)
                    Assert.Equal(expected.SelectMany(f => f).ToArray(), journal.Rest.ToArray());
            }
            return Task.CompletedTask;
        });
    }

    /// <summary>A disk that says nothing of its own accord.</summary>
    private sealed class SilentStorage : IJournalStorage
    {
        public Action<long, IOException?>? Synced { get; set; }

        public long Frames { get; private set; }

        public void Append(ReadOnlySpan<byte> frame) => Frames++;

        public int Requests { get; private set; }

        public void RequestSync() => Requests++;

        public void Dispose() { }
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
