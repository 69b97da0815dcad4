using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests.Engine;

/// <summary>From wherever unit and bank stand, unloading asks for what is still to be done and for nothing else.</summary>
public sealed class UnloadTests
{
    private static readonly RunPlan Plan = SomePlan.Full("constant current");
    private static readonly ElementSet On = ElementSet.Of(0, 2);

    private static ImmutableArray<Act> Cooling(RunState state) => StepActs.For(Plan, Plan.Steps[^1], state);

    private static RunState Standing(ElementSet elements, bool isOutputEnabled, double setting = 30) =>
        new()
        {
            Phase = RunPhase.Stepping,
            Mode = "constant current",
            Setting = new Quantity(setting, Unit.Ampere),
            Elements = elements,
            IsEngineRunning = true,
            IsOutputEnabled = isOutputEnabled,
        };

    [Fact]
    public void Nothing_on_and_output_disabled_needs_no_unloading() =>
        Assert.DoesNotContain(
            Cooling(Standing(ElementSet.None, isOutputEnabled: false)),
            a => a is SwitchAct or ConfirmOffAct or AwaitNoCurrentAct
        );

    [Fact]
    public void Output_disabled_already_is_not_asked_for_again_and_the_elements_still_go_off()
    {
        var acts = Cooling(Standing(On, isOutputEnabled: false));
        Assert.DoesNotContain(acts, a => a is AskAct { Action: HandAction.DisableOutput or HandAction.SetControl });
        Assert.Contains(new SwitchAct(ElementSet.None), acts);
        Assert.Contains(acts, a => a is ConfirmOffAct);
    }

    [Theory]
    [InlineData(30, false)]
    [InlineData(200, true)]
    public void Control_at_minimum_is_not_asked_for(double setting, bool isAsked) =>
        Assert.Equal(
            isAsked,
            Cooling(Standing(On, isOutputEnabled: true, setting))
                .Any(a => a is AskAct { Action: HandAction.SetControl })
        );

    [Fact]
    public void Mode_nobody_has_named_yet_counts_as_the_first_of_the_nameplate()
    {
        var acts = Cooling(Standing(On, isOutputEnabled: true) with { Mode = null, Setting = null });
        var asked = acts.OfType<AskAct>().First(a => a.Action == HandAction.SetControl);
        Assert.Equal(Plan.Nameplate.Modes[0].MinimumSetting, asked.Setting);
    }

    [Fact]
    public void Limits_that_guard_are_relaxed_first_and_without_any_nothing_is_guarded()
    {
        var limits = Plan.Steps.OfType<PointStep>().First().State.Trips;
        Assert.IsType<GuardAct>(Cooling(Standing(On, isOutputEnabled: true) with { Limits = limits })[0]);
        Assert.IsNotType<GuardAct>(Cooling(Standing(On, isOutputEnabled: true))[0]);
    }

    [Fact]
    public void Engine_that_stands_is_not_asked_to_be_stopped() =>
        Assert.DoesNotContain(
            Cooling(Standing(ElementSet.None, isOutputEnabled: false) with { IsEngineRunning = false }),
            a => a is AskAct { Action: HandAction.StopEngine }
        );

    [Fact]
    public void Unit_with_one_mode_is_not_asked_to_select_it()
    {
        var one = Planner.Plan(
            Some.Profile(Some.Energise(), Some.Sweep()),
            Some.Nameplate(Some.ConstantCurrent()),
            Some.Bench()
        );
        var two = Planner.Plan(
            Some.Profile(Some.Energise(), Some.Sweep()),
            Some.Nameplate(Some.ConstantCurrent(), Some.ConstantVoltage()),
            Some.Bench()
        );
        bool Selects(RunPlan plan) =>
            StepActs.For(plan, plan.Steps[0], new RunState()).Any(a => a is AskAct { Action: HandAction.SelectMode });

        Assert.False(Selects(one));
        Assert.True(Selects(two));
    }

    [Fact]
    public void Element_the_plan_switches_without_a_path_is_refused_when_it_is_more_than_one_contactor_away()
    {
        var point = Plan.Steps.OfType<PointStep>().First(p => p.State.Switching.Length > 1);
        var far = point with { State = point.State with { Switching = [point.State.Elements, ElementSet.Of(7)] } };
        Assert.Throws<InvalidOperationException>(() =>
            StepActs.For(Plan, far, Standing(ElementSet.None, isOutputEnabled: true))
        );
        var direct = point with { State = point.State with { Switching = [] } };
        Assert.Throws<InvalidOperationException>(() =>
            StepActs.For(Plan, direct, Standing(ElementSet.None, isOutputEnabled: true))
        );
    }
}
