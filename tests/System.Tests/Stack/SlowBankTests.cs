using LoadTest.Instruments.Loads;
using LoadTest.Sequencer.Journal;

namespace LoadTest.SystemTests.Stack;

/// <summary>A bank that serves one request at a time and answers each within its deadline, however slowly, is confirmed off in time.</summary>
public sealed class SlowBankTests
{
    /// <summary>Deadline, and what of it is turn-around and characters on the wire, ms: the definition files' and the worlds' own.</summary>
    private static (double Deadline, double OnTheWire) Wire(string bench) => bench == "demo" ? (120, 26) : (150, 5);

    [Theory]
    [InlineData("demo-modbus-tcp", 0.3)]
    [InlineData("demo-modbus-tcp", 0.67)]
    [InlineData("demo-modbus-tcp", 0.9)]
    [InlineData("demo", 0.5)]
    [InlineData("demo", 0.9)]
    public void Slow_bank_is_confirmed_off_within_the_time_that_check_prints(string bench, double ofDeadline)
    {
        var (deadline, onTheWire) = Wire(bench);
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(100);
                r.Strike("slow-replies", "bank-1", value: ofDeadline * deadline - onTheWire);
                r.Engine.Stop("A. Person", "smell of oil");
            },
            bench: bench
        );

        var promised = OffWithin.Of(run.Plan.Bench.Instrument("bank-1").Definition);
        var removed = run.Entries.OfType<LoadRemoved>().Single().At;
        var off = run.Entries.OfType<LoadOff>().First(o => o.At > removed);
        TestContext.Current.TestOutputHelper?.WriteLine(
            $"{bench}, {ofDeadline} of the deadline: off confirmed after {(off.At - removed).TotalSeconds:0.000} s; {promised.TotalSeconds:0.000} s promised; {off.Words}"
        );
        Assert.True(off.IsConfirmed, off.Words);
        Assert.InRange(off.At - removed, TimeSpan.FromMilliseconds(ofDeadline * deadline), promised);
        Assert.Equal(BankEnd.Off, run.Closed.Bank);
    }

    [Fact]
    public void Slow_bank_has_never_more_than_one_repeated_all_off_unanswered()
    {
        var most = 0L;
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(100);
                // The contactor is welded: off is never confirmed, so all-off goes on for as long as nobody answers.
                r.Strike("element-stuck-closed", element: 0);
                r.Strike("slow-replies", "bank-1", value: 130);
                r.Engine.Stop("A. Person", "smell of oil");
                while (r.Engine.State.Phase == Sequencer.Engine.RunPhase.Removing)
                {
                    var counts = r.Removal.AllOff;
                    most = Math.Max(most, counts.Written - counts.Answered);
                    await Task.Delay(TimeSpan.FromMilliseconds(1), r.Pump);
                }
            },
            bench: "demo-modbus-tcp"
        );

        Assert.Equal(1, most);
        Assert.True(run.Removal.AllOff.Answered > 5, run.Removal.AllOff.Words);
        Assert.Equal(0, run.Removal.AllOff.Failed);
    }
}
