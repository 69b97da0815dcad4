using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class DeadManTests
{
    private static readonly TimeSpan Long = TimeSpan.FromSeconds(30);

    private sealed class Bank : ILoad
    {
        public ManualResetEventSlim IsOff { get; } = new();
        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => throw new NotSupportedException();

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) =>
            throw new NotSupportedException();

        public void RemoveLoad() => IsOff.Set();

        public AllOffCounts AllOff => default;
    }

    [Fact]
    public void Heartbeat_older_than_its_limit_removes_the_load()
    {
        var bank = new Bank();
        var removal = new LoadRemoval("run-1", [bank], null);

        using var man = new DeadMan(() => DeadMan.Limit + TimeSpan.FromMilliseconds(1), removal);

        Assert.True(bank.IsOff.Wait(Long, TestContext.Current.CancellationToken));
        Assert.Equal("LATE", removal.Latched?.Code);
        Assert.Contains("251 ms", removal.Latched?.Detail, StringComparison.Ordinal);
        Assert.Contains("250 ms", removal.Latched?.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Heartbeat_at_its_limit_is_in_order()
    {
        using var looks = new CountdownEvent(3);
        var bank = new Bank();
        var removal = new LoadRemoval("run-1", [bank], null);
        using (
            new DeadMan(
                () =>
                {
                    if (!looks.IsSet)
                        looks.Signal();
                    return DeadMan.Limit;
                },
                removal
            )
        )
        {
            Assert.True(looks.Wait(Long, TestContext.Current.CancellationToken));
        }

        Assert.Null(removal.Latched);
        Assert.False(bank.IsOff.IsSet);
    }

    [Fact]
    public void Pump_that_hangs_in_its_own_work_loses_the_load_while_it_hangs()
    {
        var bank = new Bank();
        var removal = new LoadRemoval("run-1", [bank], null);
        var pump = Pump.Real();
        var wasOff = false;
        pump.Run(() =>
        {
            using var man = new DeadMan(pump, removal);
            // The pump is held until the load is gone, and nothing but the other thread can see to that.
            wasOff = bank.IsOff.Wait(Long);
            return Task.CompletedTask;
        });

        Assert.True(wasOff);
        Assert.Equal("LATE", removal.Latched?.Code);
    }

    [Fact]
    public void Virtual_time_has_no_heartbeat_to_watch() =>
        Assert.StartsWith(
            "A pump in virtual time has no heartbeat to watch.",
            Assert
                .Throws<ArgumentException>(() =>
                    new DeadMan(Pump.Virtual(DateTimeOffset.UnixEpoch), new LoadRemoval("run-1", [new Bank()], null))
                )
                .Message,
            StringComparison.Ordinal
        );

    [Fact]
    public void Whoever_says_goodbye_on_the_watching_thread_itself_is_let_go_and_the_load_is_left_as_it_is()
    {
        var bank = new Bank();
        var removal = new LoadRemoval("run-1", [bank], null);
        using var isMade = new ManualResetEventSlim();
        using var isAsked = new ManualResetEventSlim();
        DeadMan? man = null;
        man = new DeadMan(
            () =>
            {
                isMade.Wait(Long);
                man!.Dispose();
                isAsked.Set();
                return DeadMan.Limit + TimeSpan.FromSeconds(1);
            },
            removal
        );
        isMade.Set();
        Assert.True(isAsked.Wait(Long, TestContext.Current.CancellationToken));
        man.Dispose();

        Assert.Null(removal.Latched);
        Assert.False(bank.IsOff.IsSet);
    }
}
