using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class PlanFindingTests
{
    internal static RunPlan Plan(LoadProfile profile, Bench? bench = null, Nameplate? nameplate = null) =>
        Planner.Plan(profile, nameplate ?? Some.Nameplate(), bench ?? Some.Bench());

    internal static Finding Error(RunPlan plan, string words)
    {
        Assert.False(plan.IsRunnable);
        return Assert.Single(
            plan.Findings,
            f => f.Severity == Severity.Error && f.Message.Contains(words, StringComparison.Ordinal)
        );
    }

    private static ShuntSweepStep SweepAt(double amperes, Place place) =>
        new(null, [new Amount(amperes, Unit.Ampere, null, place)], false, false, [], place);

    [Fact]
    public void Setting_below_the_machines_minimum_is_named_with_its_place()
    {
        var place = new Place("some.yaml", 12, 9);
        var plan = Plan(Some.Profile(Some.Energise(), SweepAt(20, place)));

        var finding = Error(plan, "below the machine's minimum");
        Assert.Equal(place, finding.Place);
        Assert.Contains("30 A to 300 A", finding.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Setting_above_the_controls_range_is_an_error()
    {
        Error(Plan(Some.Profile(Some.Energise(), SweepAt(320, Some.Here))), "above the machine's maximum");
    }

    [Fact]
    public void Load_beyond_the_bank_is_said_with_what_would_help()
    {
        var bench = Some.Bench();
        var three = bench with { Bank = bench.Bank with { Elements = bench.Bank.Elements[..5] } };
        var plan = Plan(Some.Profile(Some.Energise(), Some.Sweep()), three);

        var finding = plan.Findings.First(f =>
            f.Severity == Severity.Error && f.Message.Contains("Shunt sweep", StringComparison.Ordinal)
        );
        Assert.Contains("every usable element together makes", finding.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("leads", "current in the leads may reach 315 A")]
    [InlineData("reference shunt", "current in the reference shunt may reach 315 A")]
    [InlineData("unit shunt", "current in the unit's own shunt")]
    [InlineData("bank", "power in the bank")]
    [InlineData("contactor", "has to break")]
    [InlineData("contactor volts", "contactors break")]
    [InlineData("range", "reading of channel unit drop")]
    public void Every_rating_in_the_current_path_is_held(string what, string words)
    {
        var (bench, unit) = (Some.Bench(), Some.Nameplate());
        switch (what)
        {
            case "leads":
                bench = bench with { Leads = bench.Leads with { RatedAmperes = new(200), DutyAmperes = new(250) } };
                break;
            case "reference shunt":
                bench = bench with
                {
                    ReferenceShunt = bench.ReferenceShunt with { RatedAmperes = new(250), ContinuousFraction = 1 },
                };
                break;
            case "unit shunt":
                unit = unit with { Shunt = unit.Shunt with { RatedAmperes = new(250) } };
                break;
            case "bank":
                bench = bench with { Bank = bench.Bank with { TotalWatts = new(9000) } };
                break;
            case "contactor":
                bench = bench with { Bank = bench.Bank with { ContactorAmperes = new(200) } };
                break;
            case "contactor volts":
                bench = bench with { Bank = bench.Bank with { ContactorVolts = new(60) } };
                break;
            default:
                unit = unit with { Shunt = unit.Shunt with { RatedVolts = new(0.2) } };
                break;
        }

        var plan = Plan(Some.Profile(Some.Energise(), Some.Sweep()), bench, unit);
        Assert.Contains(
            plan.Findings,
            f => f.Severity == Severity.Error && f.Message.Contains(words, StringComparison.Ordinal)
        );
    }

    // Invented bench; the law: elements that cannot bear the ceiling until the load is off are never planned on.
    [Fact]
    public void Control_lost_case_must_be_survived_until_the_load_is_off()
    {
        var bench = Some.Bench();
        var weak = bench with
        {
            Bank = bench.Bank with
            {
                Elements = [.. bench.Bank.Elements.Select(e => e with { ShortTime = TimeSpan.FromMilliseconds(300) })],
            },
        };
        var plan = Plan(Some.Profile(Some.Energise(), Some.Sweep()), weak);

        Assert.False(plan.IsRunnable);
        Assert.Contains(plan.Findings, f => f.Message.Contains("0.47 s to load off", StringComparison.Ordinal));
    }

    // 300 A at 60 % of ten minutes: 300·√0.6 = 232.4 A rms (IEC 60974-1 counts duty over ten minutes, from memory; I² common practice).
    [Fact]
    public void Ten_minutes_at_rated_current_exceed_a_duty_cycle_of_sixty_percent()
    {
        var plan = Plan(
            Some.Profile(
                Some.Energise(),
                new HoldStep(null, Some.Percent(100, BaseName.RatedCurrent), TimeSpan.FromMinutes(30), [], Some.Here)
            )
        );

        var finding = Error(plan, "300 A at 60 %");
        Assert.Contains("300 A rms", finding.Message, StringComparison.Ordinal);
        Assert.Contains("232.4 A rms", finding.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(5.5, true)]
    [InlineData(6.5, false)]
    public void Rated_current_may_flow_for_six_of_ten_minutes_at_sixty_percent(double minutes, bool allowed)
    {
        var plan = Plan(
            Some.Profile(
                Some.Energise(),
                new HoldStep(
                    null,
                    Some.Percent(100, BaseName.RatedCurrent),
                    TimeSpan.FromMinutes(minutes),
                    [],
                    Some.Here
                )
            )
        );

        Assert.Equal(allowed, plan.Findings.All(f => !f.Message.Contains("A rms; mode", StringComparison.Ordinal)));
    }

    [Fact]
    public void Permissible_current_may_flow_for_ever()
    {
        var bench = Some.Bench();
        var plan = Plan(
            Some.Profile(
                Some.Energise(),
                new HoldStep(null, Some.Of(232, Unit.Ampere), TimeSpan.FromHours(1), [], Some.Here)
            ),
            bench with
            {
                ReferenceShunt = bench.ReferenceShunt with { ContinuousFraction = 1 },
            }
        );

        Assert.True(plan.IsRunnable);
    }

    [Theory]
    [InlineData(0, "No trip limit above for output current")]
    [InlineData(1, "No trip limit above for output voltage")]
    public void Missing_trip_limit_is_an_error(int removed, string words)
    {
        var profile = Some.Profile(Some.Energise(), Some.Sweep());

        Error(Plan(profile with { Trips = profile.Trips.RemoveAt(removed) }), words);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-5)]
    public void Trip_limit_of_nothing_is_an_error(double volts)
    {
        var profile = Some.Profile(Some.Energise());

        Error(
            Plan(
                profile with
                {
                    Trips =
                    [
                        profile.Trips[0],
                        new TripRule(Measurand.OutputVoltage, Some.Of(volts, Unit.Volt), null, Some.Here),
                    ],
                }
            ),
            "does not come to a value above 0 V"
        );
    }

    [Fact]
    public void Step_that_would_trip_by_its_own_prediction_is_an_error()
    {
        var profile = Some.Profile(Some.Energise(), new NoLoadStep([], Some.Here));
        var tight = profile.Trips.SetItem(
            1,
            new TripRule(Measurand.OutputVoltage, Some.Of(60, Unit.Volt), null, Some.Here)
        );

        Error(Plan(profile with { Trips = tight }), "are predicted where the trip limits allow");
    }

    // Invented limit of ± 2 % of commanded, where 1 % element tolerance and two 1 % meters explain 3 % and more.
    [Fact]
    public void Conductance_limit_narrower_than_the_meters_explain_is_warned_of()
    {
        static RunPlan Within(double percent)
        {
            var profile = Some.Profile(Some.Energise(), Some.Sweep());
            var rule = new TripRule(
                Measurand.LoadConductance,
                Some.Percent(100 + percent, BaseName.Commanded),
                Some.Percent(100 - percent, BaseName.Commanded),
                Some.Here
            );
            return Plan(profile with { Trips = profile.Trips.Add(rule) });
        }

        static bool IsWarned(RunPlan plan) =>
            plan.Findings.Any(f => f.Message.Contains("may trip without a fault", StringComparison.Ordinal));

        Assert.True(IsWarned(Within(2)));
        Assert.False(IsWarned(Within(20)));
    }

    [Fact]
    public void Conductance_limit_of_the_profile_becomes_siemens_of_the_elements_commanded()
    {
        var profile = Some.Profile(Some.Energise(), Some.Sweep());
        var rule = new TripRule(
            Measurand.LoadConductance,
            Some.Percent(125, BaseName.Commanded),
            Some.Percent(80, BaseName.Commanded),
            Some.Here
        );
        var plan = Plan(profile with { Trips = profile.Trips.Add(rule) });

        foreach (var state in plan.Steps.OfType<PointStep>().Select(p => p.State).Where(s => !s.Elements.IsEmpty))
        {
            var commanded = state.Elements.Indices().Sum(k => 1 / Some.ElementOhms[k]);
            Assert.Equal(0.8 * commanded, state.Trips.Conductance!.Value.Lower, 1e-9);
            Assert.Equal(1.25 * commanded, state.Trips.Conductance!.Value.Upper, 1e-9);
        }
    }

    [Fact]
    public void Profile_for_another_kind_of_unit_is_an_error()
    {
        var profile = Some.Profile(Some.Energise()) with { For = "battery charger" };

        Error(Plan(profile), "for \"battery charger\"");
    }

    [Fact]
    public void Measuring_without_energising_is_an_error()
    {
        Error(Plan(Some.Profile(Some.Sweep())), "The output is not live here");
    }

    [Fact]
    public void Measuring_after_a_cool_down_needs_energising_again()
    {
        Error(Plan(Some.Profile(Some.Energise(), Some.CoolDown(), Some.Sweep())), "The output is not live here");
    }

    [Fact]
    public void Step_in_another_mode_than_energised_is_an_error()
    {
        var sweep = Some.Sweep() with { Mode = "constant voltage" };

        Error(Plan(Some.Profile(Some.Energise(), sweep)), "energised in constant current");
    }

    [Fact]
    public void Unknown_points_block_is_an_error()
    {
        Error(
            Plan(Some.Profile(Some.Energise(), new MeasureStep("shunts", Condition.AsFound, Some.Here))),
            "no points block \"shunts\""
        );
    }

    [Theory]
    [InlineData(ChannelRole.StudVolts, "stud volts")]
    [InlineData(ChannelRole.ReferenceShuntDrop, "reference shunt drop")]
    [InlineData(ChannelRole.UnitShuntDrop, "unit shunt drop")]
    public void Missing_channel_is_named_at_the_step_that_needs_it(ChannelRole role, string name)
    {
        var bench = Some.Bench();
        var plan = Plan(
            Some.Profile(Some.Energise(), Some.Sweep()),
            bench with
            {
                Channels = [.. bench.Channels.Where(c => c.Role != role)],
            }
        );

        Error(plan, $"a channel in the role \"{name}\"");
    }

    [Fact]
    public void Bench_whose_trip_channels_are_all_slow_is_refused()
    {
        var bench = Some.Bench();
        var plan = Plan(
            Some.Profile(Some.Energise()),
            bench with
            {
                Channels = [.. bench.Channels.Select(c => c with { IsFast = false })],
            }
        );

        Error(plan, "no volts can trip");
        Error(plan, "no amperes can trip");
    }

    [Fact]
    public void Bank_without_watchdog_is_warned_of()
    {
        var bench = Some.Bench();
        var definition = bench.Instruments[0].Definition;
        var mute = bench.Instruments[0] with
        {
            Definition = definition with
            {
                Switching = definition.Switching! with { Watchdog = null, WatchdogSeconds = 0 },
            },
        };
        var plan = Plan(Some.Profile(Some.Energise()), bench with { Instruments = bench.Instruments.SetItem(0, mute) });

        Assert.True(plan.IsRunnable);
        Assert.Contains(
            plan.Findings,
            f =>
                f.Severity == Severity.Warning
                && f.Message.Contains("no communication watchdog", StringComparison.Ordinal)
        );
    }
}
