using LoadTest.Analysis.Loads;
using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Simulator.Faults;

namespace LoadTest.SystemTests.Stack;

public sealed class StackTests
{
    private static TimeSpan LastGood(StackRun run, string channel, TimeSpan before)
    {
        var index = run.Plan.Bench.Channels.Index().Single(c => c.Item.Name == channel).Index;
        return run
            .Entries.OfType<Scanned>()
            .SelectMany(s => s.Readings)
            .Last(r => r.Channel == index && r.Flag == Sequencer.Ports.IndicationFlag.Good && r.At <= before)
            .At;
    }

    private static LoadRemoved Removed(StackRun run) => run.Entries.OfType<LoadRemoved>().Single();

    [Theory]
    [InlineData("short-check")]
    [InlineData("return-acceptance")]
    [InlineData("output-verification")]
    public void Shipped_profile_runs_to_its_end_on_the_simulated_bench_and_leaves_it_off(string profile)
    {
        using var run = StackRun.Of(profile);

        Assert.Equal((Outcome.Complete, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
        Assert.False(run.Bench.Truth.IsEngineRunning);
        Assert.Equal(run.Plan.Steps.Select(s => s.Number), run.Entries.OfType<StepEnded>().Select(s => s.Step));
    }

    // States are read every 0.4 s: whenever in between the line breaks, however soon it is back, the load goes off.
    [Theory]
    [InlineData(0)]
    [InlineData(0.13)]
    [InlineData(0.26)]
    [InlineData(0.39)]
    public void Line_of_the_bank_that_breaks_for_a_moment_under_load_costs_the_load(double after)
    {
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(100);
                await r.Wait(after);
                r.Strike("line-reset", "bank-1", value: 0);
            },
            bench: "demo-modbus-tcp"
        );

        Assert.Equal((Outcome.Tripped, "LINK", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void Open_feedback_lead_under_load_trips_within_the_time_the_plan_reckons_with_and_the_bank_ends_off()
    {
        var toOff = TimeSpan.MaxValue;
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                await r.UntilAtLoad(50);
                var limit = ((PointStep)r.Plan.Steps[r.Engine.State.Step]).State.Trips.Amperes.Upper;
                r.Strike("feedback-lead-open");
                toOff = await r.UntilReallyOff(limit);
            }
        );

        Assert.Equal((Outcome.Tripped, "AMPERES", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.InRange(toOff, TimeSpan.Zero, run.Plan.Timing.WorstCase);
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void Open_feedback_lead_at_full_output_where_it_makes_little_difference_trips_at_a_lower_setting()
    {
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                await r.UntilAtLoad(290);
                r.Strike("feedback-lead-open");
            }
        );

        Assert.Equal((Outcome.Tripped, BankEnd.Off), (run.Closed.Outcome, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Theory]
    [InlineData("dmm-1", "stud volts")]
    [InlineData("dmm-2", "reference drop")]
    [InlineData("dmm-3", "unit drop")]
    public void Silent_meter_trips_within_its_age_limit_and_the_bank_ends_off(string device, string channel)
    {
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(140);
                r.Strike("instrument-silent", device);
            }
        );

        Assert.Equal((Outcome.Tripped, "SILENT", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Contains(device, run.Closed.Detail, StringComparison.Ordinal);
        var limit = run.Plan.Bench.Channels.Single(c => c.Name == channel).MaximumAge;
        Assert.InRange(Removed(run).At - LastGood(run, channel, Removed(run).At), limit, limit + RunMachine.ScanPeriod);
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
    }

    [Fact]
    public void Silent_bank_trips_ends_off_by_its_own_watchdog_and_is_never_called_confirmed()
    {
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(140);
                r.Strike("instrument-silent", "bank-1");
            }
        );

        Assert.Equal((Outcome.Tripped, BankEnd.OffNotConfirmed), (run.Closed.Outcome, run.Closed.Bank));
        Assert.True(run.Closed.Code is "SILENT" or "LINK", run.Closed.Code);
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
        Assert.Contains(
            run.Entries.OfType<Asked>(),
            a => a.Question.Text.StartsWith("LOAD OFF NOT CONFIRMED", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Element_stuck_closed_is_named_and_the_run_says_that_off_is_not_confirmed()
    {
        var stuck = -1;
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                await r.UntilAtLoad(290);
                stuck = r.Engine.State.Elements.Indices()[0];
                r.Strike("element-stuck-closed", element: stuck);
            }
        );

        var name = ElementSet.Of(stuck);
        Assert.Equal(("STUCK", BankEnd.OffNotConfirmed), (run.Closed.Code, run.Closed.Bank));
        Assert.StartsWith($"ELEMENT {name} STILL ON", run.Closed.Detail, StringComparison.Ordinal);
        Assert.Equal(name, run.ElementsAtEnd);
        Assert.False(run.Bench.Truth.IsEngineRunning);
    }

    [Fact]
    public void Element_that_does_not_close_fails_the_run_by_name_and_the_bank_ends_off()
    {
        var stuck = -1;
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.Until(s => s.IsScanning);
                stuck = ((EnergiseStepPlan)r.Plan.Steps[0]).Proving.Elements.Indices()[0];
                r.Strike("element-stuck-open", element: stuck);
            }
        );

        Assert.Equal((Outcome.Failed, "STEP", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.StartsWith($"Element {ElementSet.Of(stuck)} ", run.Closed.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(5)]
    public void Engine_that_stalls_under_load_trips_and_nothing_is_applied_again_when_it_returns(double backAfter)
    {
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                await r.UntilAtLoad(290);
                r.Strike("engine-stall", value: backAfter);
            }
        );

        Assert.Equal((Outcome.Tripped, "SOURCE", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.Equal(ElementSet.None, run.ElementsAtEnd);
        Assert.DoesNotContain(
            run.Entries.SkipWhile(e => e is not LoadRemoved),
            e => e is SwitchIntended { Elements.IsEmpty: false }
        );
    }

    [Fact]
    public void Stop_at_every_seventh_second_of_a_run_leaves_the_bank_off_and_the_run_stopped()
    {
        TimeSpan end;
        using (var whole = StackRun.Of("short-check"))
            end = whole.Closed.At;
        for (var second = 30; second < (int)end.TotalSeconds; second += 7)
        {
            var at = TimeSpan.FromSeconds(second);
            using var run = StackRun.Of(
                "short-check",
                async r =>
                {
                    await Task.Delay(at > r.Now ? at - r.Now : TimeSpan.Zero, r.Pump);
                    r.Engine.Stop("A. Invented", "smell of oil");
                }
            );
            Assert.Equal((Outcome.Stopped, "STOP"), (run.Closed.Outcome, run.Closed.Code));
            Assert.NotEqual(BankEnd.OffNotConfirmed, run.Closed.Bank);
            Assert.Equal(ElementSet.None, run.ElementsAtEnd);
            Assert.Equal("A. Invented", run.Entries.OfType<Stopped>().Single().Who);
        }
    }

    [Fact]
    public void All_off_from_outside_is_the_first_cause_and_the_run_closes_without_asking()
    {
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(140);
                r.Removal.RemoveLoad(new RemovalCause("SIGNAL", "The program was told to end."));
            }
        );

        Assert.Equal((Outcome.Stopped, "SIGNAL", BankEnd.Off), (run.Closed.Outcome, run.Closed.Code, run.Closed.Bank));
        Assert.InRange(run.Closed.At - Removed(run).At, TimeSpan.Zero, TimeSpan.FromSeconds(2.2));
        Assert.DoesNotContain(run.Entries.SkipWhile(e => e is not LoadRemoved), e => e is Asked);
    }

    [Fact]
    public void Pressed_emergency_stop_trips_within_half_a_second()
    {
        var pressed = TimeSpan.Zero;
        using var run = StackRun.Of(
            "short-check",
            async r =>
            {
                await r.UntilAtLoad(240);
                pressed = r.Now;
                r.Strike("stop-button-pressed");
            }
        );

        Assert.Equal(BankEnd.Off, run.Closed.Bank);
        Assert.True(run.Closed.Code is "ESTOP" or "CONDUCTANCE" or "STEP" or "SOURCE", run.Closed.Code);
        Assert.InRange(Removed(run).At - pressed, TimeSpan.Zero, TimeSpan.FromSeconds(0.5));
    }

    public static TheoryData<string, double> EveryFault()
    {
        var data = new TheoryData<string, double>();
        // Frames of the demo bank have no transaction number; that fault has its own tests on TCP.
        foreach (var name in FaultCatalogue.Names.Where(n => FaultCatalogue.TargetOf(n) != FaultTarget.ModbusTcp))
        {
            data.Add(name, 0);
            data.Add(name, 240);
        }
        return data;
    }

    [Theory]
    [MemberData(nameof(EveryFault))]
    public void Whatever_fails_the_run_ends_and_off_is_only_said_of_a_bank_that_is_off(string fault, double amperes)
    {
        foreach (var device in DevicesFor(fault))
        {
            using var run = StackRun.Of(
                "short-check",
                async r =>
                {
                    if (amperes == 0)
                        await r.Until(s => s.IsOutputEnabled);
                    else
                        await r.UntilAtLoad(amperes);
                    int? element = FaultCatalogue.TargetOf(fault) == FaultTarget.Element ? 5 : null;
                    r.Bench.Inject(new Fault(fault, device, element));
                }
            );
            if (run.Closed.Bank != BankEnd.OffNotConfirmed)
                Assert.Equal(ElementSet.None, run.ElementsAtEnd);
            Assert.IsType<RunClosed>(run.Entries[^1]);
        }
    }

    private static IEnumerable<string?> DevicesFor(string fault) =>
        FaultCatalogue.TargetOf(fault) switch
        {
            FaultTarget.Modbus => ["bank-1"],
            FaultTarget.Device => ["bank-1", "dmm-2"],
            FaultTarget.Meter => ["dmm-1", "dmm-2", "dmm-3"],
            _ => [null],
        };

    // What the simulator knows stands outside the tool: it shares no code with it.
    [Theory]
    [InlineData(-1.8, 1)]
    [InlineData(-1.8, 2)]
    [InlineData(0.9, 3)]
    [InlineData(-0.4, 4)]
    [InlineData(3.0, 5)]
    public void Wrong_shunt_is_found_within_its_stated_uncertainty(double errorPercent, ulong seed)
    {
        var truths = new List<double>();
        using var run = StackRun.Of(
            "output-verification",
            async r =>
            {
                r.Strike("shunt-ratio-off", value: errorPercent);
                for (var seen = 0; ; )
                {
                    await r.Until(s => r.Entries.OfType<PointMeasured>().Count() > seen);
                    seen = r.Entries.OfType<PointMeasured>().Count();
                    if (r.Entries.Any(e => e is Asked { Question.Action: Sequencer.Ports.HandAction.Adjust }))
                        break;
                    if (r.Bench.Truth.Amperes > 20)
                        truths.Add(r.Bench.Truth.UnitOhms);
                }
                r.Engine.Stop("A. Invented", "as found is enough");
            },
            seed
        );

        var sweep = run.Record.Groups.First(g => g.Group.Kind == GroupKind.ShuntSweep);
        var judged = sweep.Judged.Single().Judgement;
        Assert.InRange((sweep.Shunt!.Ratio.Value - 1000 * truths.Average()) / 1000, -judged.Expanded, judged.Expanded);
        Assert.InRange(judged.Expanded / (sweep.Shunt.Ratio.Value / 1000), 0, 0.001);
    }

    [Fact]
    public void Flipped_byte_anywhere_in_the_journal_is_named_by_its_frame()
    {
        using var run = StackRun.Of("short-check");
        var bytes = run.Journal;
        Assert.Null(JournalContents.Read(new MemoryStream(bytes)).Bad);
        var starts = Starts(bytes);
        for (var at = 0; at < bytes.Length; at += at < 2000 ? 7 : 4973)
        {
            var flipped = bytes.ToArray();
            flipped[at] ^= (byte)(1 << (at % 8));
            var bad = JournalContents.Read(new MemoryStream(flipped)).Bad;
            Assert.NotNull(bad);
            Assert.Equal(starts.FindLastIndex(s => s <= at), bad.Number);
        }
    }

    private static List<int> Starts(byte[] bytes)
    {
        // Length, checksum, payload, hash: the format as docs/decisions states it.
        var starts = new List<int>();
        for (var at = 0; at < bytes.Length; at += 8 + 32 + BitConverter.ToInt32(bytes, at))
            starts.Add(at);
        return starts;
    }
}
