using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests.Engine;

public sealed class NoCurrentTests
{
    // Half of the weakest AC element, 57.6 Ω, at two thirds of 240 V: 0.5 · 160 V / 57.6 Ω = 1.39 A.
    [Fact]
    public void Auxiliary_current_is_none_below_half_of_the_weakest_element_at_idle_speed()
    {
        var plan = SomePlan.Workshop;
        var channel = plan.Bench.ChannelFor(ChannelRole.AuxiliaryAmperes)!;
        Assert.Equal(0.5 * 2 / 3 * 240 / 57.6, NoCurrent.Threshold(plan, channel), 1e-9);
        Assert.True(NoCurrent.IsSensor(channel.Role));
    }

    [Fact]
    public void Where_no_auxiliary_load_can_be_put_on_every_auxiliary_current_counts_as_none()
    {
        var plan = SomePlan.Workshop;
        var channel = plan.Bench.ChannelFor(ChannelRole.AuxiliaryAmperes)!;
        Assert.Equal(
            double.PositiveInfinity,
            NoCurrent.Threshold(plan with { Bench = plan.Bench with { AuxiliaryBank = null } }, channel)
        );
        Assert.Equal(
            double.PositiveInfinity,
            NoCurrent.Threshold(plan with { Nameplate = plan.Nameplate with { Auxiliary = null } }, channel)
        );
    }

    private static RunPlan Plan(params UnitMode[] modes) =>
        Planner.Plan(Some.Profile(Some.Energise(modes[0].Name), Some.Sweep()), Some.Nameplate(modes), Some.Bench());

    private static double Amperes(RunPlan plan, ChannelRole role) =>
        NoCurrent.Threshold(plan, plan.Bench.ChannelFor(role)!);

    private static UnitMode LowMinimum => Some.ConstantCurrent() with { MinimumSetting = new Quantity(2, Unit.Ampere) };

    // Weakest element 8 Ω. Constant current: the open circuit of 65 V at least, as 30 A would need 240 V: half of 65 V / 8 Ω.
    // With a control that goes down to 2 A it is 2 A · 8 Ω = 16 V, and so it is at constant voltage from 16 V on.
    [Fact]
    public void Current_is_none_below_half_of_what_the_weakest_element_draws_at_the_lowest_volts_of_any_mode()
    {
        Assert.Equal(0.5 * 65 / 8, Amperes(Plan(Some.ConstantCurrent()), ChannelRole.BankAmperes), 1e-12);
        Assert.Equal(0.5 * 16 / 8, Amperes(Plan(LowMinimum), ChannelRole.BankAmperes), 1e-12);
        Assert.Equal(
            0.5 * 16 / 8,
            Amperes(Plan(Some.ConstantCurrent(), Some.ConstantVoltage()), ChannelRole.BankAmperes),
            1e-12
        );
        Assert.Equal(
            0.5 * 65 / 8,
            Amperes(Plan(Some.Drooping(), Some.ConstantCurrent()), ChannelRole.BankAmperes),
            1e-12
        );
    }

    // 1 % of a shunt of 100 A is 1 A, less than the 4.06 A of the element.
    [Fact]
    public void Current_is_none_below_a_hundredth_of_the_shunts_rating_where_that_is_less()
    {
        var plan = Plan(Some.ConstantCurrent());
        var small = plan with
        {
            Bench = plan.Bench with
            {
                ReferenceShunt = plan.Bench.ReferenceShunt with { RatedAmperes = new Amperes(100) },
            },
        };
        Assert.Equal(1, Amperes(small, ChannelRole.BankAmperes), 1e-12);
    }

    // Shunts of 50 mV and of 60 mV at 500 A.
    [Fact]
    public void Drops_count_by_the_amperes_they_stand_for()
    {
        var plan = Plan(Some.ConstantCurrent());
        Assert.Equal(0.5 * 65 / 8 * 0.05 / 500, Amperes(plan, ChannelRole.ReferenceShuntDrop), 1e-15);
        Assert.Equal(0.5 * 65 / 8 * 0.06 / 500, Amperes(plan, ChannelRole.UnitShuntDrop), 1e-15);
    }

    // 1 % of a range of 1000 A and 30 steps of 0.1 A are 13 A that the sensor may be off at zero.
    [Fact]
    public void Sensor_that_may_be_off_at_zero_counts_from_twice_that()
    {
        var plan = Plan(Some.ConstantCurrent());
        var bank = plan.Bench.Instrument("bank-1");
        var coarse = bank with
        {
            Definition = bank.Definition with
            {
                Inputs =
                [
                    .. bank.Definition.Inputs.Select(i =>
                        i with
                        {
                            Specification = i.Specification with { OfRange = 0.01, Counts = 30 },
                        }
                    ),
                ],
            },
        };
        var other = plan with
        {
            Bench = plan.Bench with { Instruments = plan.Bench.Instruments.Replace(bank, coarse) },
        };
        Assert.Equal(2 * (0.01 * 1000 + 30 * 0.1), Amperes(other, ChannelRole.BankAmperes), 1e-9);
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(-1, false)]
    [InlineData(0.999999, true)]
    [InlineData(-0.999999, true)]
    [InlineData(0, true)]
    public void What_reads_as_much_as_the_threshold_is_a_current_whatever_its_sign(double part, bool isNone)
    {
        var plan = Plan(Some.ConstantCurrent());
        var (index, channel) = plan.Bench.Channels.Index().Single(c => c.Item.Role == ChannelRole.BankAmperes);
        var value = part * NoCurrent.Threshold(plan, channel);
        Assert.Equal(isNone, NoCurrent.Says(plan, new Reading(index, value, IndicationFlag.Good, TimeSpan.Zero)));
    }

    [Fact]
    public void Currents_are_read_by_four_kinds_of_channel()
    {
        ChannelRole[] sensors =
        [
            ChannelRole.ReferenceShuntDrop,
            ChannelRole.UnitShuntDrop,
            ChannelRole.BankAmperes,
            ChannelRole.AuxiliaryAmperes,
        ];
        Assert.All(Enum.GetValues<ChannelRole>(), r => Assert.Equal(sensors.Contains(r), NoCurrent.IsSensor(r)));
    }
}
