using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SystemTests.Stack;

/// <summary>A bench with an output-enable relay: closed by nothing but the run, and opened with every removal of the load.</summary>
public sealed class OutputRelayTests
{
    private const string Relay = "relays-1";

    [Fact]
    public void Relay_closes_after_the_gate_before_the_output_is_enabled_and_is_open_at_the_end()
    {
        using var run = StackRun.EveryKind("short-check");
        Assert.Equal((Outcome.Complete, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));

        var entries = run.Entries.ToList();
        var intended = entries.FindIndex(e => e is OutputIntended { IsOn: true });
        var closed = entries.FindIndex(e => e is OutputSwitched { IsClosed: true });
        Assert.True(entries.FindIndex(e => e is GatePassed { Half: 1 }) < intended);
        Assert.True(intended < closed);
        Assert.True(closed < entries.FindIndex(e => e is Asked { Question.Action: HandAction.EnableOutput }));
        Assert.Contains(entries, e => e is GateChecked { Check: "output-enable relay open", Passed: true });
        Assert.False(entries.OfType<OutputSwitched>().Last().IsClosed);
        Assert.Contains(run.Record.Events, e => e.Text.Contains("contact open", StringComparison.Ordinal));
    }

    [Fact]
    public void Trip_opens_the_relay_with_the_bank_and_the_studs_are_dead_though_the_output_is_still_enabled()
    {
        var volts = double.NaN;
        using var run = StackRun.EveryKind(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(140);
                r.Strike("over-temperature");
                await r.Until(s => s.Phase == RunPhase.Removing);
                await r.Wait(0.3);
                volts = r.Bench.Truth.StudVolts;
            }
        );
        Assert.Equal((Outcome.Tripped, "TEMP", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Equal(0, volts, 0.5);
        var opened = run.Entries.SkipWhile(e => e is not LoadRemoved).OfType<OutputSwitched>().Single();
        Assert.Equal((0, CommandOutcome.Ok, false), (opened.Command, opened.Result.Outcome, opened.IsClosed));
    }

    [Fact]
    public void Relay_that_does_not_answer_is_refused_at_the_gate()
    {
        var world = WorldFile.EveryKind();
        using var run = StackRun.EveryKind(
            "short-check",
            world: world with
            {
                Faults =
                [
                    .. world.Faults,
                    new FaultWorld
                    {
                        Fault = "instrument-silent",
                        AtSeconds = 0,
                        Device = Relay,
                    },
                ],
            }
        );
        Assert.Equal((Outcome.Refused, BankEnd.NeverEnergised), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Contains(Relay, run.Closed.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Relay_lost_under_load_does_not_keep_the_bank_from_being_found_off_and_the_record_says_so()
    {
        using var run = StackRun.EveryKind(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(140);
                r.Strike("instrument-silent", Relay);
                r.Strike("over-temperature");
            }
        );
        Assert.Equal((Outcome.Tripped, "TEMP", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Contains(run.Entries.OfType<OutputSwitched>(), o => o.Result.Outcome != CommandOutcome.Ok);
    }
}
