using System.Runtime.InteropServices;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;

namespace LoadTest.RecordsTests.Journaling;

/// <summary>What storage promises: every sync is answered with all it covers, and what is unsafe is kept to the byte.</summary>
public sealed class StorageTests
{
    // The longest a sync takes is 9 ms.
    private static readonly TimeSpan TwoSyncs = TimeSpan.FromMilliseconds(18);

    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    /// <summary>Plays with an empty storage in virtual time; what is told durable gathers in the list.</summary>
    private static void Play(Func<VirtualStorage, List<long>, Func<TimeSpan, Task>, Task> play)
    {
        var pump = Pump.Virtual(Start);
        var durable = new List<long>();
        pump.Run(async () =>
        {
            using var storage = new VirtualStorage(null, pump, 1) { Synced = (count, _) => durable.Add(count) };
            await play(storage, durable, span => Task.Delay(span, pump, TestContext.Current.CancellationToken));
        });
    }

    [Fact]
    public void Frames_that_are_not_durable_are_kept_to_the_byte_however_many_came_and_went()
    {
        var unsafeFrames = new UnsafeFrames();
        var kept = new Queue<byte[]>();
        var chance = new Random(7);
        for (var k = 0; k < 3000; k++)
        {
            var frame = new byte[1 + chance.Next(3000)];
            chance.NextBytes(frame);
            unsafeFrames.Add(frame, k);
            kept.Enqueue(frame);
            var durable = chance.Next(4) == 0 ? chance.Next(kept.Count + 1) : 0;
            unsafeFrames.Drop(durable);
            for (; durable > 0; durable--)
                kept.Dequeue();
            Assert.Equal(kept.Count == 0 ? null : (long)(k - kept.Count + 1), unsafeFrames.Oldest);
            if (k % 100 == 0)
                Assert.True(kept.SelectMany(f => f).SequenceEqual(unsafeFrames.Bytes.ToArray()));
        }
    }

    [Fact]
    public void Sync_asked_for_while_one_is_under_way_covers_what_came_meanwhile_and_one_with_nothing_to_do_is_none()
    {
        Play(
            async (storage, durable, wait) =>
            {
                storage.RequestSync();
                await wait(TimeSpan.FromSeconds(1));
                Assert.Empty(durable);
                storage.Append([1]);
                storage.RequestSync();
                storage.Append([2]);
                storage.RequestSync();
                await wait(TwoSyncs);
                Assert.Equal([1, 2], durable);
                storage.RequestSync();
                await wait(TimeSpan.FromSeconds(1));
                Assert.Equal([1, 2], durable);
            }
        );
    }

    [Fact]
    public void Memory_for_frames_that_are_not_durable_follows_how_many_they_are()
    {
        const int length = 1000;
        const int most = 6;
        var unsafeFrames = new UnsafeFrames();
        for (var k = 0; k < 1000; k++)
        {
            unsafeFrames.Add(new byte[length], k);
            unsafeFrames.Drop(k < most - 1 ? 0 : 1);
            Assert.True(MemoryMarshal.TryGetArray(unsafeFrames.Bytes, out var held));
            Assert.InRange(held.Array!.Length, held.Count, 4096 + 2 * most * length);
        }
    }

    [Fact]
    public void Sync_that_was_asked_for_once_is_made_once_and_frames_after_it_gather_again()
    {
        Play(
            async (storage, durable, wait) =>
            {
                storage.Synced += (count, _) =>
                {
                    if (count == 1)
                        storage.Append([3]);
                };
                storage.Append([1]);
                storage.RequestSync();
                storage.Append([2]);
                storage.RequestSync();
                await wait(TwoSyncs);
                Assert.Equal([1, 2], durable);
                await wait(JournalWriter.LongestExposure - TwoSyncs);
                Assert.Equal([1, 2], durable);
                await wait(TwoSyncs + TwoSyncs);
                Assert.Equal([1, 2, 3], durable);
            }
        );
    }

    [Fact]
    public void Closed_storage_says_nothing_any_more_and_may_be_closed_again()
    {
        var folder = Directory.CreateTempSubdirectory("storage");
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            foreach (var path in new[] { null, Path.Combine(folder.FullName, "journal") })
            {
                var storage = new VirtualStorage(path, pump, 1) { Synced = (_, _) => Assert.Fail("closed") };
                storage.Append([1]);
                storage.RequestSync();
                storage.Dispose();
                storage.Dispose();
            }
            await Task.Delay(TimeSpan.FromSeconds(1), pump, TestContext.Current.CancellationToken);
        });
        folder.Delete(recursive: true);
    }

    [Fact]
    public void Frame_that_does_not_fit_though_much_was_dropped_is_kept_to_the_byte()
    {
        var unsafeFrames = new UnsafeFrames();
        unsafeFrames.Add(new byte[70_000], 1);
        unsafeFrames.Add([1, 2, 3], 2);
        unsafeFrames.Drop(1);
        byte[] large = [.. Enumerable.Range(0, 300_000).Select(k => (byte)(k % 251))];
        unsafeFrames.Add(large, 3);
        byte[] kept = [1, 2, 3, .. large];
        Assert.True(unsafeFrames.Bytes.Span.SequenceEqual(kept));
        Assert.Equal(2, unsafeFrames.Oldest);
    }

    [Fact]
    public void Frame_that_comes_during_a_sync_and_is_asked_for_by_nobody_is_durable_by_itself_soon()
    {
        Play(
            async (storage, durable, wait) =>
            {
                storage.Append([1]);
                storage.RequestSync();
                storage.Append([2]);
                await wait(JournalWriter.LongestExposure + TimeSpan.FromSeconds(1));
                Assert.Equal([1, 2], durable);
            }
        );
    }

    // SplitMix64 from 1234567 (S. Vigna's reference implementation; values from memory as published on Rosetta Code).
    private static readonly ulong[] Published =
    [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ];

    [Fact]
    public void Syncs_in_virtual_time_take_what_the_published_generator_says()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var done = new TaskCompletionSource();
            using var storage = new VirtualStorage(null, pump, 1234567);
            storage.Synced = (_, _) => done.SetResult();
            foreach (var value in Published)
            {
                var u = (value / 2048) / Math.Pow(2, 53);
                var expected = 0.2 + 0.3 * u + 8.5 * Math.Pow(u, 32);
                var asked = pump.GetTimestamp();
                storage.Append([1]);
                storage.RequestSync();
                await done.Task;
                Assert.Equal(expected, TimeSpan.FromTicks(pump.GetTimestamp() - asked).TotalMilliseconds, 0.0002);
                done = new TaskCompletionSource();
            }
        });
    }
}
