using System.Diagnostics;
using LoadTest.Sequencer.Engine;

namespace LoadTest.SequencerTests.Engine;

/// <summary>A pump whose time passes: nothing early, nothing held back, nothing on another thread.</summary>
public sealed class RealPumpTests
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    // Ticks of 100 ns: 10 000 are one millisecond.
    [Theory]
    [InlineData(-5, 1, false, 0)]
    [InlineData(-5, 1, true, 0)]
    [InlineData(0, 1, false, 0)]
    [InlineData(1, 1, true, 1)]
    [InlineData(1, 1, false, 10_000)]
    [InlineData(9_999, 1, false, 10_000)]
    [InlineData(9_999, 1, true, 9_999)]
    [InlineData(10_001, 1, false, 10_001)]
    [InlineData(30_000, 2, false, 15_000)]
    [InlineData(30_001, 2, true, 15_001)]
    [InlineData(3, 8, true, 1)]
    [InlineData(100_000, 0.5, false, 200_000)]
    [InlineData(499_999, 1, false, 499_999)]
    [InlineData(500_001, 1, true, 500_000)]
    [InlineData(long.MaxValue, 1e-9, false, 500_000)]
    public void Pump_in_real_time_waits_for_its_next_timer_rounded_up_and_no_longer_than_its_heartbeat_may_be_apart(
        long ticks,
        double pace,
        bool isExact,
        long waits
    ) => Assert.Equal(waits, Pump.WaitFor(ticks, pace, isExact).Ticks);

    [Fact]
    public void Continuations_of_a_real_pump_run_on_its_own_thread_even_when_another_thread_completes_the_task()
    {
        var pump = Pump.Real();
        var (thread, continued) = (0, -1);
        pump.Run(async () =>
        {
            thread = Environment.CurrentManagedThreadId;
            var outside = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
            new Thread(outside.SetResult).Start();
            await outside.Task;
            continued = Environment.CurrentManagedThreadId;
        });
        Assert.Equal(thread, continued);
    }

    [Fact]
    public void In_real_time_a_stream_of_posts_does_not_hold_a_timer_back()
    {
        var pump = Pump.Real();
        pump.Run(async () =>
        {
            var isOver = false;
            void Again()
            {
                if (!isOver)
                    pump.Post(Again);
            }
            Again();
            await Task.Delay(TimeSpan.FromMilliseconds(1), pump, TestContext.Current.CancellationToken);
            isOver = true;
        });
        Assert.True(pump.GetTimestamp() >= TimeSpan.TicksPerMillisecond);
    }

    [Fact]
    public void A_paced_pump_lets_an_hour_pass_in_a_moment()
    {
        var pump = Pump.Paced(36_000_000, Start);
        pump.Run(() => Task.Delay(TimeSpan.FromHours(1), pump, TestContext.Current.CancellationToken));
        Assert.True(pump.GetTimestamp() >= TimeSpan.TicksPerHour);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_pace_is_a_finite_number_above_zero(double pace) =>
        Assert.StartsWith(
            "A pace is a finite number above zero.",
            Assert.Throws<ArgumentOutOfRangeException>(() => Pump.Paced(pace, Start)).Message,
            StringComparison.Ordinal
        );

    [Fact]
    public void Work_posted_from_another_thread_wakes_a_real_pump_that_has_nothing_to_do()
    {
        var pump = Pump.Real();
        var (thread, ran) = (-1, -1);
        pump.Run(() =>
        {
            thread = Environment.CurrentManagedThreadId;
            var done = new TaskCompletionSource();
            new Thread(() =>
                pump.Post(() =>
                {
                    ran = Environment.CurrentManagedThreadId;
                    done.SetResult();
                })
            ).Start();
            return done.Task;
        });
        Assert.Equal(thread, ran);
    }

    [Fact]
    public void A_timer_of_a_real_pump_is_never_early_and_a_dead_one_holds_none_back()
    {
        var pump = Pump.Real();
        var due = TimeSpan.FromMilliseconds(3).Ticks;
        var order = new List<string>();
        pump.Run(async () =>
        {
            using var repeated = pump.CreateTimer(
                _ => order.Add($"{pump.GetTimestamp() >= due}"),
                null,
                TimeSpan.FromTicks(due),
                TimeSpan.FromMilliseconds(1)
            );
            var dead = pump.CreateTimer(_ => order.Add("dead"), null, TimeSpan.FromMilliseconds(1), TimeSpan.Zero);
            await dead.DisposeAsync();
            await Task.Delay(TimeSpan.FromMilliseconds(8), pump, TestContext.Current.CancellationToken);
        });
        Assert.Contains("True", order, StringComparer.Ordinal);
        Assert.All(order, o => Assert.Equal("True", o));
    }

    // A process stopped by SIGSTOP and let go on: the pump beats before the dead man looks, and the silence was one all the same.
    [Fact]
    public void A_silence_that_is_over_is_still_found_by_whoever_looks_next_and_only_once()
    {
        var heart = new Heartbeat();
        heart.Beat();
        heart.TakeSilence();
        var from = Stopwatch.GetTimestamp();
        while (Stopwatch.GetElapsedTime(from) < TimeSpan.FromMilliseconds(30)) { }
        heart.Beat();
        heart.Beat();

        Assert.True(heart.Since < heart.TakeSilence() || heart.Longest >= TimeSpan.FromMilliseconds(30));
        Assert.True(heart.Longest >= TimeSpan.FromMilliseconds(30));
        heart.Beat();
        Assert.True(heart.TakeSilence() < heart.Longest);
    }

    /// <summary>The pump beats with everything it begins: its heart is never older than what was done last before.</summary>
    [Fact]
    public void A_real_pump_beats_when_it_is_made_begins_and_takes_up_work_or_a_timer()
    {
        var made = Stopwatch.GetTimestamp();
        var pump = Pump.Real();
        void DemandBeatSince(long moment)
        {
            var age = pump.Heart.Since;
            Assert.True(age <= Stopwatch.GetElapsedTime(moment));
        }

        DemandBeatSince(made);
        var begun = Stopwatch.GetTimestamp();
        pump.Run(() =>
        {
            DemandBeatSince(begun);
            var done = new TaskCompletionSource();
            var first = Stopwatch.GetTimestamp();
            pump.Post(() =>
            {
                DemandBeatSince(first);
                var second = Stopwatch.GetTimestamp();
                pump.CreateTimer(
                    _ =>
                    {
                        DemandBeatSince(second);
                        done.SetResult();
                    },
                    null,
                    TimeSpan.Zero,
                    Timeout.InfiniteTimeSpan
                );
            });
            return done.Task;
        });
    }
}
