using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;
using LoadTest.SequencerTests.Engine;

namespace LoadTest.SequencerTests;

/// <summary>What the gate says of each thing the bank can say, or cannot.</summary>
public sealed class GateFactTests
{
    private static readonly DateOnly Today = new(2026, 11, 25);
    private static readonly RunPlan Plan = SomePlan.Watched;

    private static readonly LoadStates Quiet = new(CommandOutcome.Ok, "", default, default, true, false, true, 0);

    private static readonly LoadStates Unread = Quiet with { Outcome = CommandOutcome.Unknown, Detail = "no reply" };

    private static BenchSnapshot Snapshot(RunPlan plan, LoadStates off, LoadStates withFan, CommandResult fan) =>
        new(
            [
                .. plan.Bench.Instruments.Select(i => new InstrumentSnapshot(
                    i.Id,
                    new IdentityReply(CommandResult.Ok, i.Id),
                    CommandResult.Ok
                )),
            ],
            off,
            fan,
            withFan,
            [
                .. plan.Bench.Channels.Select(
                    (_, k) => new ChannelSnapshot(k, new Indication(0, IndicationFlag.Good, 0))
                ),
            ],
            Gate.ReserveBytes,
            []
        );

    private static GateFact Fact(string check, LoadStates off, LoadStates? withFan = null, CommandResult? fan = null) =>
        Assert.Single(
            Gate.CheckStatic(Plan, Snapshot(Plan, off, withFan ?? off, fan ?? CommandResult.Ok), Today),
            f => f.Check == check
        );

    [Theory]
    [InlineData(0u, 0u, "")]
    [InlineData(4u, 0u, "STUCK")]
    [InlineData(0u, 4u, "STUCK")]
    public void Every_element_has_to_be_off_by_command_and_by_contact(uint commanded, uint contacts, string code)
    {
        var off = Quiet with { Commanded = new ElementSet(commanded), Contacts = new ElementSet(contacts) };
        Assert.Equal(code, Fact("every element off", off).Code);
    }

    [Fact]
    public void States_that_cannot_be_read_are_refused_and_nothing_else_is_said_of_the_bank()
    {
        var facts = Gate.CheckStatic(Plan, Snapshot(Plan, Unread, Unread, CommandResult.Ok), Today);
        Assert.Equal("IDENTITY", Assert.Single(facts, f => f.Check == "every element off").Code);
        Assert.DoesNotContain(facts, f => f.Check is "fan" or "bank temperature" or "hard-wired stop");
    }

    [Theory]
    [InlineData(true, "TEMP", "over-temperature")]
    [InlineData(false, "", "no over-temperature")]
    [InlineData(null, "", "cannot tell")]
    public void Hot_bank_is_refused_and_one_that_cannot_tell_is_said_to_be_one(bool? isHot, string code, string words)
    {
        var fact = Fact("bank temperature", Quiet with { IsOverTemperature = isHot });
        Assert.Equal(code, fact.Code);
        Assert.Contains(words, fact.Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true, null, "TEMP")]
    [InlineData(false, null, "")]
    [InlineData(true, false, "")]
    [InlineData(false, true, "TEMP")]
    public void Temperature_said_before_the_fan_ran_counts_where_nothing_is_said_after(
        bool? before,
        bool? after,
        string code
    ) =>
        Assert.Equal(
            code,
            Fact(
                "bank temperature",
                Quiet with
                {
                    IsOverTemperature = before,
                },
                Quiet with
                {
                    IsOverTemperature = after,
                }
            ).Code
        );

    [Theory]
    [InlineData(true, "", "circuit healthy")]
    [InlineData(false, "ESTOP", "pressed")]
    [InlineData(null, "", "tried by hand")]
    public void Pressed_stop_is_refused_and_one_nobody_reads_is_tried_by_hand(
        bool? isHealthy,
        string code,
        string words
    )
    {
        var fact = Fact("hard-wired stop", Quiet with { IsStopHealthy = isHealthy });
        Assert.Equal(code, fact.Code);
        Assert.Contains(words, fact.Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true, "", "air flows")]
    [InlineData(false, "FAN", "no air flows")]
    [InlineData(null, "", "cannot tell")]
    public void Fan_without_air_is_refused(bool? hasAir, string code, string words)
    {
        var fact = Fact("fan", Quiet, Quiet with { HasAirFlow = hasAir });
        Assert.Equal(code, fact.Code);
        Assert.Contains(words, fact.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Fan_that_takes_no_command_or_whose_air_cannot_be_read_is_refused()
    {
        var refused = Fact("fan", Quiet, Quiet, CommandResult.Failed("coil 8 is refused"));
        Assert.Equal("FAN", refused.Code);
        Assert.Contains("coil 8 is refused", refused.Found, StringComparison.Ordinal);
        var unread = Fact("fan", Quiet, Unread);
        Assert.Equal("FAN", unread.Code);
        Assert.Contains("no reply", unread.Found, StringComparison.Ordinal);
    }

    [Fact]
    public void Bank_without_a_communication_watchdog_is_said_to_be_one_wherever_its_settings_are_named()
    {
        string[] Said(RunPlan plan) =>
            [
                .. Gate.CheckStatic(plan, Snapshot(plan, Quiet, Quiet, CommandResult.Ok), Today)
                    .Where(f =>
                        f.Check == "communication watchdog" || f.Check == $"settings of {plan.Bench.Bank.InstrumentId}"
                    )
                    .Select(f => f.Found),
            ];

        Assert.Equal(
            2,
            Said(SomePlan.Short).Count(f => f.Contains("nothing drops the load", StringComparison.Ordinal))
        );
        Assert.Contains("armed at 2 s", Assert.Single(Said(SomePlan.Watched)), StringComparison.Ordinal);
    }

    [Fact]
    public void Plan_with_several_errors_names_the_first_and_counts_the_others()
    {
        var place = new Place("profile.yaml", 3, 1);
        Finding Error(string words) => new(place, Severity.Error, words);
        GateFact Check(params Finding[] findings) => Gate.CheckPlan(Plan with { Findings = [.. findings] });

        Assert.DoesNotContain("more such", Check(Error("too much")).Found, StringComparison.Ordinal);
        Assert.Contains(
            "2 more such findings",
            Check(Error("a"), Error("b"), Error("c")).Found,
            StringComparison.Ordinal
        );
        Assert.True(Check().IsPassed);
    }

    [Fact]
    public void Instrument_without_a_serial_number_is_named_as_one_in_the_calibration_check()
    {
        var bench = Plan.Bench with
        {
            Instruments = [.. Plan.Bench.Instruments.Select(i => i with { SerialNumber = null })],
        };
        Assert.Contains(
            CalibrationCheck.Facts(Plan with { Bench = bench }, Today),
            f => f.Check.Contains("serial number not known", StringComparison.Ordinal)
        );
        Assert.DoesNotContain(
            CalibrationCheck.Facts(Plan, Today),
            f => f.Check.Contains("serial number not known", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Only_what_is_judged_by_needs_a_certificate_and_what_has_one_is_looked_at()
    {
        var bench = Some.Bench();
        string[] Checked(Bench b) =>
            [.. CalibrationCheck.Facts(Plan with { Bench = b }, Today).Select(f => f.Check.Split(' ')[2])];
        Assert.Equal(["reference", "dmm-1", "dmm-2", "dmm-3"], Checked(bench));
        var bank = bench.Instrument("bank-1");
        var certified = bench with
        {
            Instruments = bench.Instruments.Replace(bank, bank with { Certificate = Some.MeterCertificate("B-1") }),
        };
        Assert.Equal(["reference", "bank-1", "dmm-1", "dmm-2", "dmm-3"], Checked(certified));
    }
}
