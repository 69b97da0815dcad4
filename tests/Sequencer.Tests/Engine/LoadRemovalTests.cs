using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SequencerTests.Engine;

public sealed class LoadRemovalTests
{
    private static readonly RemovalCause Cause = new("STOP", "a person");

    private sealed class Bank : ILoad
    {
        private int _allOffs;

        public int AllOffs => Volatile.Read(ref _allOffs);
        public Action OnRemove { get; init; } = () => { };
        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => throw new NotSupportedException();

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) =>
            throw new NotSupportedException();

        public void RemoveLoad()
        {
            Interlocked.Increment(ref _allOffs);
            OnRemove();
        }

        public AllOffCounts AllOff => new(AllOffs, 0, 0);
    }

    private sealed class Relay(List<string> order) : IOutputEnable
    {
        public string Name => "relays-1 output enable";

        public Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<RelayState> ReadAsync(CancellationToken cancel) => throw new NotSupportedException();

        public void Open() => order.Add("open");
    }

    [Fact]
    public void Latch_is_set_before_the_first_all_off_leaves()
    {
        LoadRemoval? removal = null;
        RemovalCause? seen = null;
        var bank = new Bank { OnRemove = () => seen = removal!.Latched };
        removal = new LoadRemoval("run-1", [bank], null);

        removal.RemoveLoad(Cause);
        Assert.Same(Cause, seen);
    }

    [Fact]
    public void Permit_holds_for_its_run_and_epoch_until_the_load_is_removed()
    {
        var removal = new LoadRemoval("run-1", [new Bank()], null);
        var permit = removal.Permit();

        Assert.True(permit.IsValid);
        Assert.False((permit with { RunId = "run-2" }).IsValid);
        Assert.False((permit with { Epoch = permit.Epoch + 1 }).IsValid);
        Assert.False(default(EnergisePermit).IsValid);
        removal.NextEpoch();
        Assert.False(permit.IsValid);
        Assert.True(removal.Permit().IsValid);
        removal.RemoveLoad(Cause);
        Assert.False(removal.Permit().IsValid);
    }

    [Fact]
    public void First_cause_stays_all_off_is_sent_every_time_and_word_is_given_once()
    {
        var bank = new Bank();
        var told = new List<RemovalCause>();
        var removal = new LoadRemoval("run-1", [bank], told.Add);

        removal.RemoveLoad(Cause);
        removal.RemoveLoad(new RemovalCause("SIGNAL", "later"));
        removal.RemoveLoad(Cause);
        Assert.Same(Cause, removal.Latched);
        Assert.Equal(3, bank.AllOffs);
        Assert.Same(Cause, Assert.Single(told));
    }

    [Fact]
    public void Bank_in_trouble_keeps_no_other_bank_on_and_nothing_is_thrown()
    {
        var broken = new Bank { OnRemove = () => throw new IOException("the line is lost") };
        var sound = new Bank();
        var removal = new LoadRemoval("run-1", [broken, sound], _ => throw new InvalidOperationException("no pump"));

        removal.RemoveLoad(Cause);
        Assert.Equal(1, sound.AllOffs);
        Assert.Equal("no pump", removal.Trouble);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Output_enable_relay_opens_behind_the_banks_each_time_even_when_one_of_them_is_in_trouble(bool isBroken)
    {
        var order = new List<string>();
        var bank = new Bank
        {
            OnRemove = () =>
            {
                order.Add("all-off");
                if (isBroken)
                    throw new IOException("the line is lost");
            },
        };
        var removal = new LoadRemoval("run-1", [bank], null) { Output = new Relay(order) };

        removal.RemoveLoad(Cause);
        removal.RemoveLoad(Cause);
        Assert.Equal(["all-off", "open", "all-off", "open"], order);
    }

    [Fact]
    public void Retired_removal_gives_no_permit_sends_nothing_and_still_sends_all_off_when_asked()
    {
        var bank = new Bank();
        var told = 0;
        var removal = new LoadRemoval("run-1", [bank], _ => told++);

        Assert.Equal("", removal.Trouble);
        removal.Retire();
        Assert.Equal(new RemovalCause("END", "The run is over."), removal.Latched);
        Assert.False(removal.Permit().IsValid);
        Assert.Equal(0, bank.AllOffs);
        removal.RemoveLoad(Cause);
        Assert.Equal((1, 0), (bank.AllOffs, told));
    }

    [Fact]
    public void From_many_threads_at_once_one_cause_wins_and_no_permit_outlives_the_first_all_off()
    {
        Gen.Int[2, 8]
            .Sample(
                threads =>
                {
                    LoadRemoval? removal = null;
                    var isSent = 0;
                    var late = 0;
                    var bank = new Bank { OnRemove = () => Volatile.Write(ref isSent, 1) };
                    var told = 0;
                    removal = new LoadRemoval("run-1", [bank], _ => Interlocked.Increment(ref told));
                    var permit = removal.Permit();
                    using var start = new Barrier(threads + 1);
                    var all = Enumerable
                        .Range(0, threads)
                        .Select(k => new Thread(() =>
                        {
                            start.SignalAndWait();
                            removal.RemoveLoad(new RemovalCause($"C{k}", ""));
                        }))
                        .ToList();
                    all.Add(
                        new Thread(() =>
                        {
                            start.SignalAndWait();
                            for (var k = 0; k < 200; k++)
                            {
                                var wasSent = Volatile.Read(ref isSent) == 1;
                                if (permit.IsValid && wasSent)
                                    Interlocked.Increment(ref late);
                            }
                        })
                    );
                    all.ForEach(t => t.Start());
                    all.ForEach(t => t.Join());
                    Assert.Equal((threads, 1, 0), (bank.AllOffs, told, late));
                    Assert.StartsWith("C", removal.Latched!.Code, StringComparison.Ordinal);
                },
                iter: 100,
                threads: 1
            );
    }
}
