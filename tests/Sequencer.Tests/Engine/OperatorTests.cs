using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests.Engine;

public sealed class OperatorTests
{
    private static Answer No(string remark = "") => new(false, null, remark, "A. Invented");

    [Fact]
    public void Declined_question_stops_the_run_and_says_who_declined_what_and_why()
    {
        var world = new HandFedWorld(SomePlan.Verification);
        world.Says = q => q.Action == HandAction.EnableOutput ? No("exhaust hose is off") : Yes(q);

        world.UntilClosed();
        var closed = world.Machine.Closed!;
        Assert.Equal((Outcome.Stopped, "DECLINED"), (closed.Outcome, closed.Code));
        Assert.Contains("A. Invented answered no", closed.Detail, StringComparison.Ordinal);
        Assert.Contains("exhaust hose is off", closed.Detail, StringComparison.Ordinal);
        Assert.Equal("A. Invented", world.Machine.Entries.OfType<Stopped>().Single().Who);
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements);
    }

    private static Answer Yes(Question q) => new(true, q.Kind == QuestionKind.Number ? 8.8 : null, "", "A. Invented");

    [Fact]
    public void Every_request_to_do_something_at_the_unit_may_be_declined_and_the_bank_ends_off()
    {
        var whole = new HandFedWorld(SomePlan.Verification).UntilClosed();
        var requests = whole
            .Machine.Entries.OfType<Asked>()
            .Where(a => a.Question.Kind == QuestionKind.Do)
            .Select(a => a.Question.Number)
            .ToArray();
        foreach (var number in requests.Where((_, k) => k % 3 == 0))
        {
            var world = new HandFedWorld(SomePlan.Verification);
            world.Says = q => q.Number == number ? No() : Yes(q);
            world.UntilClosed();
            Assert.Equal("DECLINED", world.Machine.Closed!.Code);
            Assert.NotEqual(BankEnd.OffNotConfirmed, world.Machine.Closed.Bank);
            Assert.True(world.Contacts.IsEmpty);
        }
    }

    [Fact]
    public void No_to_a_plain_question_is_an_answer_and_no_stop()
    {
        var world = new HandFedWorld(SomePlan.Verification);
        world.Says = q => q.Kind == QuestionKind.YesNo ? No() : Yes(q);

        world.UntilClosed();
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        Assert.Contains(world.Machine.Entries.OfType<Answered>(), a => !a.Answer.Yes);
    }

    [Fact]
    public void Answer_to_a_question_that_is_not_open_comes_to_nothing()
    {
        var world = new HandFedWorld(SomePlan.Verification) { Ignores = c => c is Ask };
        world.Feed(new RunBegan(TimeSpan.Zero));
        var open = world.State.OpenQuestion!.Value;
        var before = world.State;

        Assert.Empty(world.Feed(new OperatorAnswered(TimeSpan.Zero, open + 1, No())));
        Assert.Empty(world.Feed(new OperatorAnswered(TimeSpan.Zero, open - 1, No())));
        Assert.Equal(before, world.State);
        Assert.NotEmpty(world.Feed(new OperatorAnswered(TimeSpan.Zero, open, Yes(Asked(world)))));
        var after = world.State;
        Assert.Empty(world.Feed(new OperatorAnswered(TimeSpan.Zero, open, No())));
        Assert.Equal(after, world.State);
    }

    private static Question Asked(HandFedWorld world) => world.Machine.Entries.OfType<Asked>().Last().Question;

    [Fact]
    public void Question_in_the_middle_is_asked_with_every_element_off_and_the_output_disabled()
    {
        var plan = Planner.Plan(
            Some.Profile(
                Some.Energise(),
                Some.LoadLine(),
                new QuestionStep("Is the fan belt cool?", Some.Here),
                Some.Sweep(),
                Some.CoolDown()
            ),
            Some.Nameplate(),
            Some.Bench()
        );
        Assert.True(plan.IsRunnable);
        var world = new HandFedWorld(plan);
        var seen = 0;
        world.Says = q =>
        {
            if (q.Kind == QuestionKind.YesNo)
            {
                seen++;
                Assert.True(world.Contacts.IsEmpty);
                Assert.False(world.IsOutputOn);
                Assert.True(world.IsEngineRunning);
            }
            return Yes(q);
        };

        world.UntilClosed();
        Assert.Equal((1, Outcome.Complete), (seen, world.Machine.Closed!.Outcome));
    }

    [Fact]
    public void Adjustment_is_made_with_the_engine_stopped_and_a_proving_load_proves_the_wiring_again()
    {
        var world = new HandFedWorld(SomePlan.Verification);
        world.Says = q =>
        {
            if (q.Action == HandAction.Adjust)
                Assert.False(world.IsEngineRunning || world.IsOutputOn || !world.Contacts.IsEmpty);
            return Yes(q);
        };

        world.UntilClosed();
        var passed = world.Machine.Entries.OfType<GatePassed>().ToArray();
        Assert.Equal([2, 2], passed.Select(g => g.Half));
        var entries = world.Machine.Entries.ToList();
        var adjusted = entries.FindIndex(e => e is Asked { Question.Action: HandAction.Adjust });
        Assert.True(passed[0].At < entries[adjusted].At && entries[adjusted].At < passed[1].At);
        var after = entries.Skip(adjusted).ToList();
        Assert.True(
            after.FindIndex(e => e is Asked { Question.Action: HandAction.StartEngine })
                < after.FindIndex(e => e is SwitchIntended)
        );
    }

    [Fact]
    public void First_half_of_the_gate_that_is_too_old_is_refused_before_the_engine_starts()
    {
        var world = new HandFedWorld(SomePlan.Verification) { Ignores = c => c is Ask };
        world.Feed(new RunBegan(TimeSpan.Zero));
        world.Machine.Now = Gate.ValidFor + TimeSpan.FromSeconds(1);
        while (world.State.Phase == RunPhase.Stepping && world.State.OpenQuestion is not null)
            world.Feed(new OperatorAnswered(world.Machine.Now, world.State.OpenQuestion.Value, Yes(Asked(world))));

        Assert.Equal((Outcome.Refused, "GATE"), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
        Assert.DoesNotContain(
            world.Machine.Entries,
            e => e is Asked { Question.Action: HandAction.StartEngine } or SwitchIntended
        );
    }

    [Fact]
    public void Another_mode_is_selected_with_the_output_disabled_and_every_element_off()
    {
        // The planner asks for a new energise with another mode; the machine must be safe without its help.
        var (first, second) = (SomePlan.Full("constant current"), SomePlan.Full("constant voltage"));
        var loaded = second
            .Steps.OfType<PointStep>()
            .First(p => p.State.Switching.Length == 1 && !p.State.Elements.IsEmpty);
        var plan = first with
        {
            Steps = [.. first.Steps.TakeWhile(s => s is not CoolDownStepPlan), loaded, first.Steps[^1]],
        };
        var world = new HandFedWorld(plan);
        var selected = 0;
        world.Says = q =>
        {
            if (q.Action == HandAction.SelectMode && q.Mode == "constant voltage")
            {
                selected++;
                Assert.False(world.IsOutputOn);
                Assert.True(world.Contacts.IsEmpty);
            }
            return Yes(q);
        };

        world.UntilClosed();
        Assert.Equal(1, selected);
        Assert.Equal(Outcome.Complete, world.Machine.Closed!.Outcome);
        var modes = world.Machine.Entries.OfType<Asked>().Select(a => a.Question).ToList();
        var at = modes.FindIndex(q => q.Mode == "constant voltage");
        Assert.Equal(HandAction.SetControl, modes[at + 1].Action);
        Assert.Equal(new Quantity(16, Unit.Volt), modes[at + 1].Setting);
        Assert.Equal(HandAction.EnableOutput, modes[at + 2].Action);
    }

    [Fact]
    public void Output_enabled_again_after_a_question_is_not_held_to_the_limits_of_the_elements_before_it()
    {
        // Elements rated 45 V continuous were on; open circuit is 72 V.
        var plan = Planner.Plan(
            Some.Profile(
                Some.Energise(),
                new HoldStep(null, Some.Percent(100, BaseName.RatedCurrent), TimeSpan.FromSeconds(10), [], Some.Here),
                new QuestionStep("Ready?", Some.Here),
                new NoLoadStep([], Some.Here),
                Some.CoolDown()
            ),
            Some.Nameplate(),
            Some.Bench()
        );
        var world = new HandFedWorld(plan).Until(w =>
            w.Act is MeasureAct && w.State is { NextLimits: null, Limits.Volts.Upper: < 72 }
        );

        Assert.Equal(Outcome.Complete, world.UntilClosed().Machine.Closed!.Outcome);
    }

    [Theory]
    [InlineData(0.0, "VOLTS")]
    [InlineData(-72.0, "POLARITY")]
    [InlineData(84.0, "VOLTS")]
    public void Open_circuit_voltage_that_is_not_as_expected_is_refused_with_nothing_switched(double volts, string code)
    {
        var world = new HandFedWorld(SomePlan.Short);
        world.Reads = (channel, value) =>
            (
                channel.Role == ChannelRole.StudVolts && world.IsOutputOn ? volts + value - 72 : value,
                IndicationFlag.Good
            );

        world.UntilClosed();
        Assert.Equal((Outcome.Refused, code), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements);
        Assert.Equal(BankEnd.NeverEnergised, world.Machine.Closed.Bank);
    }

    [Fact]
    public void Dead_output_is_refused_on_constant_voltage_too()
    {
        var world = new HandFedWorld(SomePlan.Full("constant voltage"));
        world.Says = q =>
        {
            if (q.Action == HandAction.EnableOutput)
                world.Reads = (_, _) => (0, IndicationFlag.Good);
            return Yes(q);
        };

        world.UntilClosed();
        Assert.Equal((Outcome.Refused, "VOLTS"), (world.Machine.Closed!.Outcome, world.Machine.Closed.Code));
    }

    [Theory]
    [InlineData(10.0, 1.0)]
    [InlineData(0.1, 1.0)]
    [InlineData(1.0, 0.1)]
    [InlineData(-1.0, 1.0)]
    public void Proving_current_must_be_as_predicted_by_reference_shunt_and_bank_both(double reference, double bank)
    {
        var world = new HandFedWorld(SomePlan.Short);
        world.Reads = (channel, value) =>
            (
                value
                    * channel.Role switch
                    {
                        ChannelRole.ReferenceShuntDrop => reference,
                        ChannelRole.BankAmperes => bank,
                        _ => 1,
                    },
                IndicationFlag.Good
            );

        world.UntilClosed();
        Assert.NotEqual(Outcome.Complete, world.Machine.Closed!.Outcome);
        Assert.Single(world.Machine.Entries.OfType<SwitchIntended>());
        Assert.DoesNotContain(world.Machine.Entries, e => e is GatePassed);
        Assert.True(world.Contacts.IsEmpty);
    }

    [Fact]
    public void Operator_that_is_gone_while_the_load_is_on_ends_the_run_and_closes_it_when_off()
    {
        var world = new HandFedWorld(SomePlan.Verification).UntilMeasuringUnderLoad();
        world.Ignores = c => c is Ask;
        world.Until(w => w.State.OpenQuestion is not null);
        Assert.False(world.Contacts.IsEmpty);

        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value, "the line is lost"));
        world.UntilClosed(TimeSpan.FromSeconds(2));
        Assert.Equal(
            (Outcome.Interrupted, "OPERATOR", BankEnd.Off),
            (world.Machine.Closed!.Outcome, world.Machine.Closed.Code, world.Machine.Closed.Bank)
        );
    }

    [Fact]
    public void With_nobody_left_to_acknowledge_all_off_is_repeated_for_thirty_seconds_and_the_run_says_not_confirmed()
    {
        var world = new HandFedWorld(SomePlan.Short).UntilMeasuringUnderLoad();
        world.Welded = world.Contacts;
        world.Ignores = c => c is Ask;
        var from = world.Machine.Now;
        world.Feed(new StopAsked(world.Machine.Now, "A. Invented", ""));
        world.Until(w => w.State.OpenQuestion is not null);
        world.Feed(new OperatorLost(world.Machine.Now, world.State.OpenQuestion!.Value, "the line is lost"));

        world.UntilClosed(TimeSpan.FromSeconds(40));
        Assert.InRange(world.Machine.Now - from, TimeSpan.FromSeconds(35), TimeSpan.FromSeconds(35.2));
        Assert.Equal(BankEnd.OffNotConfirmed, world.Machine.Closed!.Bank);
        Assert.InRange(world.Machine.Commands.OfType<RemoveLoadNow>().Count(), 348, 352);
        Assert.Equal(ElementSet.None, world.Coils);
    }

    [Fact]
    public void Plan_of_questions_alone_ends_complete_and_was_never_energised()
    {
        var plan = SomePlan.Verification;
        var questions = plan.Steps.OfType<AskStep>().Take(1).ToArray<PlannedStep>();
        var world = new HandFedWorld(plan with { Steps = [.. questions] }).UntilClosed();
        Assert.Equal(
            (Outcome.Complete, BankEnd.NeverEnergised),
            (world.Machine.Closed!.Outcome, world.Machine.Closed.Bank)
        );
        Assert.DoesNotContain(world.Machine.Commands, c => c is SwitchElements or RemoveLoadNow);
    }

    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    public void First_half_of_the_gate_holds_for_half_an_hour_to_the_tick(long ticks, bool isRefused)
    {
        var world = new HandFedWorld(SomePlan.Verification) { Ignores = c => c is Ask };
        world.Feed(new RunBegan(TimeSpan.Zero));
        world.Machine.Now = Gate.ValidFor + TimeSpan.FromTicks(ticks);
        while (world.State is { OpenQuestion: { } open, Latched: null, IsScanning: false })
            world.Feed(new OperatorAnswered(world.Machine.Now, open, new Answer(true, 8.8, "", "A. Invented")));
        Assert.Equal(isRefused ? "GATE" : null, world.State.Latched?.Code);
        Assert.Equal(!isRefused, world.State.IsScanning);
    }
}
