using LoadTest.Sequencer.Engine;

namespace LoadTest.SequencerTests.Engine;

public class PumpTests
{
    private static readonly DateTimeOffset Start = new(2026, 11, 25, 8, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Virtual_time_jumps_to_the_next_timer_and_no_further()
    {
        var pump = Pump.Virtual(Start);
        var seen = new List<string>();
        pump.Run(async () =>
        {
            await Task.Delay(TimeSpan.FromHours(2), pump, TestContext.Current.CancellationToken);
            seen.Add(pump.GetUtcNow().ToString("HH:mm:ss"));
            await Task.Delay(TimeSpan.FromMilliseconds(100), pump, TestContext.Current.CancellationToken);
            seen.Add(pump.GetTimestamp().ToString());
        });
        Assert.Equal(["10:00:00", (TimeSpan.TicksPerHour * 2 + TimeSpan.TicksPerMillisecond * 100).ToString()], seen);
    }

    [Fact]
    public void Work_that_takes_long_makes_what_is_due_meanwhile_late()
    {
        var pump = Pump.Virtual(Start);
        var seen = new List<TimeSpan>();
        pump.Run(async () =>
        {
            var wait = Task.Delay(TimeSpan.FromSeconds(1), pump, TestContext.Current.CancellationToken);
            pump.Pass(TimeSpan.FromSeconds(3));
            await wait;
            seen.Add(TimeSpan.FromTicks(pump.GetTimestamp()));
            await Task.Delay(TimeSpan.FromSeconds(1), pump, TestContext.Current.CancellationToken);
            seen.Add(TimeSpan.FromTicks(pump.GetTimestamp()));
        });
        Assert.Equal([TimeSpan.FromSeconds(3), TimeSpan.FromSeconds(4)], seen);
        Assert.Throws<ArgumentOutOfRangeException>(() => pump.Pass(TimeSpan.FromTicks(-1)));
        var real = Assert.Throws<InvalidOperationException>(() => Pump.Real().Pass(TimeSpan.FromSeconds(1)));
        Assert.Equal("Real time passes by itself; only virtual time can be made to.", real.Message);
    }

    [Fact]
    public void Timers_due_together_fire_in_the_order_they_were_set()
    {
        var pump = Pump.Virtual(Start);
        var order = new List<int>();
        pump.Run(async () =>
        {
            var waits = Enumerable
                .Range(0, 20)
                .Select(async k =>
                {
                    await Task.Delay(TimeSpan.FromSeconds(1), pump, TestContext.Current.CancellationToken);
                    order.Add(k);
                });
            await Task.WhenAll(waits);
        });
        Assert.Equal(Enumerable.Range(0, 20), order);
    }

    [Fact]
    public void A_wait_that_nothing_can_end_is_a_named_deadlock()
    {
        var pump = Pump.Virtual(Start);
        var never = new TaskCompletionSource();
        var deadlock = Assert.Throws<PumpDeadlockException>(() =>
            pump.Run(async () =>
            {
                await Task.Delay(TimeSpan.FromSeconds(3), pump, TestContext.Current.CancellationToken);
                await never.Task;
            })
        );
        Assert.Contains("00:00:03", deadlock.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Another_thread_may_not_post_to_or_look_at_a_virtual_pump()
    {
        var pump = Pump.Virtual(Start);
        var refusals = new List<string>();
        var stranger = new Thread(() =>
        {
            foreach (
                var deed in new Action[]
                {
                    () => pump.Post(() => { }),
                    () => pump.GetTimestamp(),
                    () => pump.Pass(TimeSpan.Zero),
                    () => pump.CreateTimer(_ => { }, null, TimeSpan.Zero, Timeout.InfiniteTimeSpan),
                    () => pump.Context.Send(_ => { }, null),
                }
            )
            {
                refusals.Add(Assert.Throws<InvalidOperationException>(deed).Message);
            }
        });
        stranger.Start();
        stranger.Join();
        string[] deeds = ["posted work", "looked at the clock", "let time pass", "set a timer", "sent work"];
        Assert.Equal(
            deeds.Select(deed =>
                $"Another thread {deed} on a pump in virtual time; only the pump's own thread may, or runs would not repeat."
            ),
            refusals,
            StringComparer.Ordinal
        );
    }

    [Fact]
    public void A_timer_set_again_forgets_its_first_moment()
    {
        var pump = Pump.Virtual(Start);
        var fired = new List<long>();
        pump.Run(async () =>
        {
            using var timer = pump.CreateTimer(
                _ => fired.Add(pump.GetTimestamp() / TimeSpan.TicksPerSecond),
                null,
                TimeSpan.FromSeconds(1),
                Timeout.InfiniteTimeSpan
            );
            timer.Change(TimeSpan.FromSeconds(5), TimeSpan.FromSeconds(2));
            await Task.Delay(TimeSpan.FromSeconds(10), pump, TestContext.Current.CancellationToken);
        });
        Assert.Equal([5L, 7L, 9L], fired);
    }

    [Fact]
    public void A_disposed_timer_never_fires()
    {
        var pump = Pump.Virtual(Start);
        var fired = false;
        pump.Run(async () =>
        {
            var timer = pump.CreateTimer(_ => fired = true, null, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1));
            timer.Dispose();
            await Task.Delay(TimeSpan.FromSeconds(3), pump, TestContext.Current.CancellationToken);
        });
        Assert.False(fired);
    }

    [Fact]
    public void The_callers_context_comes_back_even_after_an_error()
    {
        var before = SynchronizationContext.Current;
        var pump = Pump.Virtual(Start);
        Assert.Throws<InvalidOperationException>(() =>
            pump.Run(() => Task.FromException(new InvalidOperationException("bench on fire")))
        );
        Assert.Same(before, SynchronizationContext.Current);
    }

    [Fact]
    public void One_seed_gives_the_same_sequence_alone_and_beside_three_other_pumps()
    {
        var alone = Wander(seed: 7);
        var beside = new List<string>[4];
        var threads = Enumerable
            .Range(0, 4)
            .Select(k => new Thread(() => beside[k] = Wander(seed: k == 0 ? 7 : 100 + k)))
            .ToArray();
        foreach (var thread in threads)
            thread.Start();
        foreach (var thread in threads)
            thread.Join();
        Assert.Equal(alone, beside[0]);
    }

    private static List<string> Wander(int seed)
    {
        var pump = Pump.Virtual(Start);
        var random = new Random(seed);
        var trace = new List<string>();
        pump.Run(async () =>
        {
            var walkers = Enumerable
                .Range(0, 5)
                .Select(async walker =>
                {
                    for (var step = 0; step < 200; step++)
                    {
                        await Task.Delay(TimeSpan.FromMilliseconds(random.Next(0, 20)), pump, CancellationToken.None);
                        trace.Add($"{walker}:{pump.GetTimestamp()}");
                    }
                });
            await Task.WhenAll(walkers);
        });
        return trace;
    }

    [Fact]
    public void A_timer_that_was_disposed_cannot_be_set_again()
    {
        var pump = Pump.Virtual(Start);
        pump.Run(async () =>
        {
            var fired = 0;
            var timer = pump.CreateTimer(_ => fired++, null, TimeSpan.FromSeconds(1), Timeout.InfiniteTimeSpan);
            await timer.DisposeAsync();
            Assert.False(timer.Change(TimeSpan.FromSeconds(1), Timeout.InfiniteTimeSpan));
            await Task.Delay(TimeSpan.FromSeconds(5), pump, TestContext.Current.CancellationToken);
            Assert.Equal(0, fired);
        });
    }

    [Fact]
    public void What_is_posted_runs_in_the_order_of_posting_and_before_time_goes_on()
    {
        foreach (var pump in new[] { Pump.Virtual(Start), Pump.Real() })
        {
            var order = new List<int>();
            var done = new TaskCompletionSource();
            pump.Run(async () =>
            {
                await using var timer = pump.CreateTimer(_ => order.Add(9), null, TimeSpan.FromHours(1), TimeSpan.Zero);
                for (var k = 0; k < 3; k++)
                {
                    var number = k;
                    pump.Post(() => order.Add(number));
                }
                pump.Post(done.SetResult);
                await done.Task;
            });
            Assert.Equal([0, 1, 2], order);
        }
    }

    [Fact]
    public void What_is_sent_on_the_pumps_own_thread_is_done_at_once()
    {
        var pump = Pump.Virtual(Start);
        var isDone = false;
        pump.Run(() =>
        {
            pump.Context.Send(_ => isDone = true, null);
            Assert.True(isDone);
            Assert.Same(pump.Context, pump.Context.CreateCopy());
            return Task.CompletedTask;
        });
    }

    [Fact]
    public void A_period_of_nothing_fires_once()
    {
        var pump = Pump.Virtual(Start);
        var fired = 0;
        pump.Run(async () =>
        {
            using var timer = pump.CreateTimer(_ => fired++, null, TimeSpan.FromSeconds(1), TimeSpan.Zero);
            await Task.Delay(TimeSpan.FromSeconds(5), pump, TestContext.Current.CancellationToken);
        });
        Assert.Equal(1, fired);
    }

    [Fact]
    public void A_pump_in_virtual_time_has_no_heart()
    {
        var pump = Pump.Virtual(Start);
        var before = pump.Heart.Since;
        pump.Run(() => Task.CompletedTask);
        Assert.True(pump.Heart.Since >= before);
    }
}
