using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.SequencerTests;

public sealed class GateTests
{
    private static readonly DateOnly Today = new(2026, 11, 25);

    private static RunPlan Plan(Bench? bench = null, LoadProfile? profile = null) =>
        Planner.Plan(profile ?? Some.Profile(Some.Energise(), Some.Sweep()), Some.Nameplate(), bench ?? Some.Bench());

    private static LoadStates States(bool? airFlow = true, ElementSet contacts = default, bool? stop = true) =>
        new(CommandOutcome.Ok, "", default, contacts, airFlow, false, stop, 0);

    private static BenchSnapshot Good(RunPlan plan) =>
        new(
            [
                .. plan.Bench.Instruments.Select(i => new InstrumentSnapshot(
                    i.Id,
                    new IdentityReply(CommandResult.Ok, i.Id),
                    CommandResult.Ok
                )),
            ],
            States(),
            CommandResult.Ok,
            States(),
            [
                .. plan.Bench.Channels.Select(
                    (_, k) => new ChannelSnapshot(k, new Indication(0, IndicationFlag.Good, 0))
                ),
            ],
            Gate.ReserveBytes,
            []
        );

    private static GateFact Refusal(RunPlan plan, BenchSnapshot snapshot, DateOnly? today = null) =>
        Assert.Single(Gate.CheckStatic(plan, snapshot, today ?? Today), f => !f.IsPassed);

    [Fact]
    public void Bench_in_order_passes_every_static_check()
    {
        var plan = Plan();

        Assert.All(Gate.CheckStatic(plan, Good(plan), Today), f => Assert.True(f.IsPassed, f.Found));
    }

    [Theory]
    [InlineData(CommandOutcome.Ok, false, "")]
    [InlineData(CommandOutcome.Ok, true, "STUCK")]
    [InlineData(CommandOutcome.Unknown, false, "IDENTITY")]
    [InlineData(null, false, "IDENTITY")]
    public void Output_enable_relay_has_to_be_read_open(CommandOutcome? outcome, bool isClosed, string code)
    {
        var plan = Engine.SomePlan.WithRelay;
        var snapshot = Good(plan) with
        {
            Output = outcome is { } o ? new RelayState(new CommandResult(o, "no reply"), isClosed, 0) : null,
        };
        var fact = Assert.Single(Gate.CheckStatic(plan, snapshot, Today), f => f.Check == "output-enable relay open");
        Assert.Equal(code, fact.Code);
        Assert.Contains(
            code == "IDENTITY" && outcome is not null ? "no reply" : "relays-1",
            fact.Found,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Wrong_serial_number_is_refused_as_identity_and_wrong_known_value_as_map()
    {
        var plan = Plan();
        BenchSnapshot Saying(bool isWrongMap) =>
            Good(plan) with
            {
                Instruments =
                [
                    .. Good(plan)
                        .Instruments.Select(i =>
                            i.InstrumentId == "bank-1"
                                ? new InstrumentSnapshot(
                                    "bank-1",
                                    new IdentityReply(CommandResult.Failed("not it"), "any words")
                                    {
                                        IsWrongMap = isWrongMap,
                                    },
                                    null
                                )
                                : i
                        ),
                ],
            };

        Assert.Equal("IDENTITY", Refusal(plan, Saying(isWrongMap: false)).Code);
        Assert.Equal("MAP", Refusal(plan, Saying(isWrongMap: true)).Code);
    }

    [Fact]
    public void Instrument_that_was_not_asked_is_refused()
    {
        var plan = Plan();
        var snapshot = Good(plan);

        Assert.Equal("IDENTITY", Refusal(plan, snapshot with { Instruments = snapshot.Instruments.RemoveAt(1) }).Code);
    }

    [Fact]
    public void Settings_that_do_not_read_back_are_refused_as_config()
    {
        var plan = Plan();
        var snapshot = Good(plan);
        var wrong = snapshot.Instruments[2] with { Configured = CommandResult.Failed("range reads back 1 V") };

        Assert.Equal(
            "CONFIG",
            Refusal(plan, snapshot with { Instruments = snapshot.Instruments.SetItem(2, wrong) }).Code
        );
    }

    // Both ends of the calibration interval belong to it: refused one day before the certificate and one day after it is due.
    [Theory]
    [InlineData(2026, 2, 28, false)]
    [InlineData(2026, 3, 1, true)]
    [InlineData(2027, 3, 1, true)]
    [InlineData(2027, 3, 2, false)]
    public void Calibration_holds_from_its_date_to_the_due_date_both_included(int year, int month, int day, bool passes)
    {
        var plan = Plan();

        var facts = Gate.CheckStatic(plan, Good(plan), new DateOnly(year, month, day));

        Assert.Equal(passes, facts.All(f => f.IsPassed));
        Assert.All(facts.Where(f => !f.IsPassed), f => Assert.Equal("CAL", f.Code));
        Assert.Equal(passes ? 0 : 4, facts.Count(f => !f.IsPassed));
    }

    [Theory]
    [InlineData(0.9, true)]
    [InlineData(1.2, false)]
    [InlineData(-72, false)]
    public void Volts_with_the_engine_stopped_are_refused_as_live(double volts, bool passes)
    {
        var plan = Plan();
        var index = plan.Bench.Channels.Index().Single(c => c.Item.Role == ChannelRole.StudVolts).Index;
        var snapshot = Good(plan) with
        {
            Channels = Good(plan)
                .Channels.SetItem(index, new ChannelSnapshot(index, new Indication(volts, IndicationFlag.Good, 0))),
        };

        var facts = Gate.CheckStatic(plan, snapshot, Today);
        Assert.Equal(passes, facts.All(f => f.IsPassed));
        Assert.All(facts.Where(f => !f.IsPassed), f => Assert.Equal("LIVE", f.Code));
    }

    [Theory]
    [InlineData(IndicationFlag.Overload)]
    [InlineData(IndicationFlag.NotANumber)]
    [InlineData(IndicationFlag.Missing)]
    public void Channel_without_a_number_is_not_known_to_be_dead(IndicationFlag flag)
    {
        var plan = Plan();
        var snapshot = Good(plan);

        Assert.Equal(
            "LIVE",
            Refusal(
                plan,
                snapshot with
                {
                    Channels = snapshot.Channels.SetItem(0, new ChannelSnapshot(0, new Indication(0, flag, 0))),
                }
            ).Code
        );
    }

    [Fact]
    public void Contact_that_stays_closed_a_fan_without_air_and_a_pressed_stop_are_refused()
    {
        var plan = Plan();

        Assert.Equal("STUCK", Refusal(plan, Good(plan) with { Off = States(contacts: ElementSet.Of(2)) }).Code);
        Assert.Equal("FAN", Refusal(plan, Good(plan) with { WithFan = States(airFlow: false) }).Code);
        Assert.Equal("ESTOP", Refusal(plan, Good(plan) with { Off = States(stop: false) }).Code);
    }

    [Fact]
    public void Little_disk_space_and_a_busy_port_are_refused()
    {
        var plan = Plan();

        var disk = Refusal(plan, Good(plan) with { FreeBytes = Gate.ReserveBytes - 1 });
        Assert.Equal("DISK", disk.Code);
        Assert.StartsWith(
            "255 MiB are free where the journal goes, at least 256 MiB are needed.",
            disk.Found,
            StringComparison.Ordinal
        );
        Assert.Equal(
            "PORTBUSY",
            Refusal(plan, Good(plan) with { PortsBusy = ["line 1 is used by another program"] }).Code
        );
    }

    [Fact]
    public void Plan_beyond_a_rating_is_refused_as_rating_and_one_without_trip_limit_as_limit()
    {
        var small = Some.Bench() with { Bank = Some.Bench().Bank with { TotalWatts = new(5000) } };
        var beyond = Plan(small);
        Assert.Equal("RATING", Refusal(beyond, Good(beyond)).Code);

        var profile = Some.Profile(Some.Energise(), Some.Sweep());
        var unlimited = Plan(profile: profile with { Trips = profile.Trips.RemoveAt(1) });
        Assert.Equal("LIMIT", Refusal(unlimited, Good(unlimited)).Code);
    }

    [Fact]
    public void Cautions_have_names_of_their_own_and_stay_short()
    {
        Assert.Equal(Gate.Cautions.Length, Gate.Cautions.Select(c => c.Name).Distinct(StringComparer.Ordinal).Count());
        Assert.All(Gate.Cautions, c => Assert.InRange(c.Text.Length, 20, 230));
    }

    // The list the shop asks for; a word of each caution must be among the texts.
    [Theory]
    [InlineData("codes")]
    [InlineData("qualified")]
    [InlineData("locked out")]
    [InlineData("belt")]
    [InlineData("brush holder")]
    [InlineData("Carbon monoxide")]
    [InlineData("extinguisher")]
    [InlineData("outlet air")]
    [InlineData("Hearing and eye")]
    [InlineData("jewellery")]
    [InlineData("pacemaker")]
    [InlineData("wet ground")]
    [InlineData("uncoiled")]
    [InlineData("lugs")]
    [InlineData("before a lead or plug is opened")]
    [InlineData("until the engine has stopped")]
    [InlineData("in parallel")]
    [InlineData("fused at their source end")]
    [InlineData("never unplugged while it runs")]
    [InlineData("isolated")]
    [InlineData("above the open-circuit voltage")]
    [InlineData("fed by the unit under test")]
    [InlineData("High-frequency")]
    [InlineData("hot start")]
    [InlineData("feeder")]
    [InlineData("never defeated")]
    [InlineData("starting battery")]
    [InlineData("measured, not assumed")]
    [InlineData("within reach")]
    [InlineData("hoist")]
    [InlineData("replaces neither the hard-wired stop")]
    public void Every_usual_caution_is_among_them(string words)
    {
        Assert.Contains(Gate.Cautions, c => c.Text.Contains(words, StringComparison.Ordinal));
    }

    /// <summary>Twice what the input may be off at zero, at least one step of it, and 1 V or 1 % of the rated 300 A besides.</summary>
    /// <remarks>
    /// bank volts: 2·(2e-5·100 V + 10 mV) + 1 V; bank amperes: 2·(2e-5·1000 A + 0.1 A) + 3 A; stud volts: 2·(2e-5·100 V + 100 µV) + 1 V;
    /// drops: 2·(2e-5·0.1 V + 0.1 µV) + 3 A of 50 mV or of 60 mV at 500 A.
    /// </remarks>
    [Theory]
    [InlineData(ChannelRole.BankVolts, 2 * (2e-5 * 100 + 0.01) + 1)]
    [InlineData(ChannelRole.BankAmperes, 2 * (2e-5 * 1000 + 0.1) + 3)]
    [InlineData(ChannelRole.StudVolts, 2 * (2e-5 * 100 + 1e-4) + 1)]
    [InlineData(ChannelRole.ReferenceShuntDrop, 2 * (2e-5 * 0.1 + 1e-7) + 3 * 0.05 / 500)]
    [InlineData(ChannelRole.UnitShuntDrop, 2 * (2e-5 * 0.1 + 1e-7) + 3 * 0.06 / 500)]
    public void Channel_counts_as_dead_up_to_what_it_may_be_off_and_a_little(ChannelRole role, double limit)
    {
        var plan = Plan();
        var index = plan.Bench.Channels.Index().Single(c => c.Item.Role == role).Index;
        GateFact Of(double value) =>
            Gate.CheckStatic(
                    plan,
                    Good(plan) with
                    {
                        Channels = Good(plan)
                            .Channels.SetItem(
                                index,
                                new ChannelSnapshot(index, new Indication(value, IndicationFlag.Good, 0))
                            ),
                    },
                    Today
                )
                .Single(f => f.Check == $"nothing live at {plan.Bench.Channels[index].Name}");
        Assert.All([limit, -limit, 0], v => Assert.True(Of(v * (1 - 1e-9)).IsPassed));
        Assert.All([limit, -limit], v => Assert.False(Of(v * (1 + 1e-9)).IsPassed));
    }

    [Theory]
    [InlineData(ChannelRole.BankVolts, 0.0, "0 V, within ± 1 V")]
    [InlineData(ChannelRole.BankAmperes, -0.04, "0 A, within ± 3.2 A")]
    [InlineData(ChannelRole.ReferenceShuntDrop, 0.0001234, "0.12 mV, within ± 0.3 mV")]
    public void What_a_dead_channel_reads_is_said_in_steps_of_its_limits_second_digit(
        ChannelRole role,
        double value,
        string words
    )
    {
        var plan = Plan();
        var index = plan.Bench.Channels.Index().Single(c => c.Item.Role == role).Index;
        var snapshot = Good(plan) with
        {
            Channels = Good(plan)
                .Channels.SetItem(index, new ChannelSnapshot(index, new Indication(value, IndicationFlag.Good, 0))),
        };
        var fact = Gate.CheckStatic(plan, snapshot, Today)
            .Single(f => f.Check == $"nothing live at {plan.Bench.Channels[index].Name}");
        Assert.Equal(words, fact.Found);
    }

    [Fact]
    public void Calibration_that_is_over_says_for_how_many_days()
    {
        var plan = Plan();
        var facts = Gate.CheckStatic(plan, Good(plan), new DateOnly(2027, 3, 11));
        Assert.All(
            facts.Where(f => !f.IsPassed),
            f => Assert.StartsWith("Was due on 2027-03-01, 10 days before this run", f.Found, StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Temperatures_are_not_asked_to_be_nothing()
    {
        var plan = Engine.SomePlan.Workshop;
        var checks = Gate.CheckStatic(plan, Good(plan), Today).Select(f => f.Check).ToArray();
        Assert.Contains("nothing live at auxiliary volts", checks, StringComparer.Ordinal);
        Assert.DoesNotContain("nothing live at winding", checks, StringComparer.Ordinal);
    }
}
