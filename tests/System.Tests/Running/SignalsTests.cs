using LoadTest.Analysis.Loads;
using LoadTest.Running;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Running;

public sealed class SignalsTests
{
    private sealed class Bank(List<string> order) : ILoad
    {
        public string Name => "bank-1";

        public Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel) =>
            throw new NotSupportedException();

        public Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => throw new NotSupportedException();

        public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) =>
            throw new NotSupportedException();

        public void RemoveLoad() => order.Add($"all off on {Environment.CurrentManagedThreadId}");

        public AllOffCounts AllOff => default;
    }

    // No pump turns in this test: whatever leaves, the thread that brings the signal has sent.
    [Fact]
    public void Signal_sends_all_off_on_its_own_thread_and_tells_the_run_afterwards()
    {
        var order = new List<string>();
        var removal = new LoadRemoval("run-1", [new Bank(order)], cause => order.Add($"told {cause.Code}"));
        using var signals = new Signals(isVirtual: false);
        signals.Guard(removal);

        var thread = new Thread(() => signals.Take("SIGTERM"));
        thread.Start();
        thread.Join();

        Assert.Equal([$"all off on {thread.ManagedThreadId}", "told SIGNAL"], order);
        Assert.Equal(removal.Latched, signals.Asked);
    }

    [Fact]
    public void Second_signal_sends_all_off_again_and_changes_no_cause()
    {
        var order = new List<string>();
        var removal = new LoadRemoval("run-1", [new Bank(order)], cause => order.Add($"told {cause.Detail}"));
        using var signals = new Signals(isVirtual: false);
        signals.Guard(removal);
        signals.Take("SIGINT");
        var first = removal.Latched;
        signals.Take("SIGTERM");

        Assert.Equal(2, order.Count(o => o.StartsWith("all off", StringComparison.Ordinal)));
        Assert.Single(order, o => o.StartsWith("told", StringComparison.Ordinal));
        Assert.Same(first, removal.Latched);
    }

    [Fact]
    public void Signal_that_came_before_there_was_a_load_removes_it_as_soon_as_there_is_one()
    {
        var order = new List<string>();
        using var signals = new Signals(isVirtual: false);
        signals.Take("SIGHUP");
        signals.Guard(new LoadRemoval("run-1", [new Bank(order)], null));

        Assert.Single(order);
    }

    [Fact]
    public void In_virtual_time_the_pump_does_what_a_signal_asked_for()
    {
        var order = new List<string>();
        var removal = new LoadRemoval("run-1", [new Bank(order)], null);
        using var signals = new Signals(isVirtual: true);
        signals.Guard(removal);
        signals.Look();
        Assert.Null(removal.Latched);

        signals.Take("SIGINT");
        Assert.Empty(order);
        signals.Look();
        Assert.Equal("SIGNAL", removal.Latched?.Code);
        Assert.Single(order);
    }
}
