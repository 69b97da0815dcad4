using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Journal;

namespace LoadTest.SystemTests.Stack;

/// <summary>Instruments of the simulated bench that lie without leaving a limit.</summary>
public sealed class DoubtStackTests
{
    [Theory]
    [InlineData("meter-frozen", "dmm-1", null, "FROZEN", BankEnd.Off)]
    [InlineData("meter-frozen", "dmm-2", null, "FROZEN", BankEnd.OffNotConfirmed)]
    [InlineData("meter-frozen", "dmm-3", null, "FROZEN", BankEnd.OffNotConfirmed)]
    [InlineData("meter-scale-off", "dmm-1", 0.7, "DISAGREE", BankEnd.Off)]
    [InlineData("meter-scale-off", "dmm-2", 0.9, "DISAGREE", BankEnd.Off)]
    [InlineData("meter-scale-off", "dmm-2", 1.1, "DISAGREE", BankEnd.Off)]
    public void Meter_that_lies_within_every_limit_trips_and_off_is_not_said_while_it_still_shows_a_current(
        string fault,
        string device,
        double? times,
        string code,
        BankEnd bank
    )
    {
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                await r.UntilAtLoad(200);
                r.Strike(fault, device, value: times);
            }
        );

        Assert.Equal((Outcome.Tripped, code, bank), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Contains(device, run.Closed.Detail, StringComparison.Ordinal);
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void Watchdog_of_the_bank_is_proved_before_the_engine_is_started_and_the_record_says_so()
    {
        using var run = StackRun.Of("short-check");

        var proof = run.Record.Gate.Single(g => g.Check == "communication watchdog");
        Assert.StartsWith("proved: element", proof.Found, StringComparison.Ordinal);
        Assert.True(
            proof.At
                < run.Entries.OfType<Asked>().First(a => a.Question.Action == Sequencer.Ports.HandAction.StartEngine).At
        );
    }

    [Fact]
    public void Watchdog_that_reads_back_as_armed_and_never_acts_is_refused_with_the_engine_stopped()
    {
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                r.Strike("watchdog-dead");
                await r.Until(s => s.Latched is not null);
                Assert.False(r.Bench.Truth.IsEngineRunning);
            }
        );

        Assert.Equal(
            (Outcome.Refused, "WATCHDOG", BankEnd.Off),
            (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank)
        );
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }
}
