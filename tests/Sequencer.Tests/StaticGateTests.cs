using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using static LoadTest.SequencerTests.StaticGateScene;

namespace LoadTest.SequencerTests;

public sealed class StaticGateTests
{
    [Fact]
    public void Every_caution_is_asked_and_journaled_one_by_one_before_the_gate_is_passed()
    {
        var scene = new Scene();

        Assert.True(scene.Run().IsPassed);
        var cautions = scene.Journal.Entries.OfType<CautionAcknowledged>().Select(c => c.Caution);
        Assert.Equal(Gate.Cautions.Select(c => c.Name), cautions, StringComparer.Ordinal);
        Assert.Equal(Gate.Cautions.Length, scene.Operator.Asked.Count(q => q.Kind == QuestionKind.Acknowledge));
        Assert.Equal(Enumerable.Range(1, scene.Operator.Asked.Count), scene.Operator.Asked.Select(q => q.Number));
    }

    [Fact]
    public void Passed_gate_is_the_last_entry_and_durable_when_it_returns()
    {
        var scene = new Scene();

        scene.Run();
        var passed = Assert.IsType<GatePassed>(scene.Journal.Entries[^1]);
        Assert.Equal((1, TimeSpan.FromMinutes(30)), (passed.Half, passed.ValidFor));
        Assert.Equal(scene.Journal.Entries.Count - 1, scene.Journal.Acknowledged);
    }

    [Fact]
    public void Caution_not_acknowledged_ends_the_gate_before_any_instrument_is_touched()
    {
        var scene = new Scene
        {
            Operator = new Script(true, q => !q.Text.StartsWith("exhaust", StringComparison.Ordinal)),
        };

        var result = scene.Run();
        Assert.Equal("CAUTION", result.Refusal!.Code);
        Assert.DoesNotContain(scene.Journal.Entries, e => e is GatePassed);
        Assert.DoesNotContain(scene.Meters, m => m.IsConfigured);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void What_an_earlier_run_left_is_cleared_by_name_or_the_gate_is_refused(bool isCleared)
    {
        var clearance = new Caution("contactor cleared after run 7", "ELEMENT 3 STILL ON. Put right?");
        var scene = new Scene
        {
            Clearances = [clearance],
            Operator = new Script(true, q => isCleared || !q.Text.Contains("ELEMENT 3", StringComparison.Ordinal)),
        };

        var result = scene.Run();
        Assert.Equal(isCleared ? null : "CAUTION", result.Refusal?.Code);
        var said = Assert.Single(scene.Journal.Entries.OfType<GateChecked>(), c => c.Check == clearance.Name);
        Assert.Equal(isCleared, said.Passed);
        Assert.Contains("A. Invented", said.Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(true, "new lugs", "in order, A. Invented: new lugs")]
    [InlineData(true, "", "in order, A. Invented")]
    [InlineData(
        false,
        "new lugs",
        "CAUTION: Not in order, A. Invented: new lugs. Put it right with the engine locked out, then begin again."
    )]
    [InlineData(
        false,
        "",
        "CAUTION: Not in order, A. Invented. Put it right with the engine locked out, then begin again."
    )]
    public void What_a_person_remarks_of_an_inspection_stands_beside_the_name(
        bool isInOrder,
        string remark,
        string said
    )
    {
        var scene = new Scene { Operator = new Script(true, q => isInOrder || q.Kind != QuestionKind.Inspect, remark) };

        scene.Run();
        var check = scene.Journal.Entries.OfType<GateChecked>().First(c => c.Check == "wiring");
        Assert.Equal(said, check.Found);
    }

    [Fact]
    public void Script_is_refused_on_a_bench_not_proved_simulated_whatever_its_file_says()
    {
        Assert.NotNull(Some.Bench().World);
        var scene = new Scene { Operator = new Script(isPerson: false, _ => true) };

        Assert.Equal("OPERATOR", scene.Run().Refusal!.Code);
        Assert.Empty(scene.Operator.Asked);
    }

    [Fact]
    public void Script_is_accepted_where_the_bench_is_proved_simulated()
    {
        var scene = new Scene { Operator = new Script(isPerson: false, _ => true), IsProvedSimulated = true };

        var result = scene.Run();
        Assert.True(result.IsPassed);
        Assert.Contains(result.Facts, f => f.Found == "a script, on a bench proved simulated");
        Assert.Contains(new Scene().Run().Facts, f => f.Found == "a person");
    }

    [Theory]
    [InlineData(1, null)]
    [InlineData(2, "IDENTITY")]
    public void Instrument_that_gives_no_answer_is_asked_who_it_is_once_more(int missed, string? code)
    {
        var asked = 0;
        var scene = new Scene
        {
            Identity = id =>
                id == "dmm-2" && asked++ < missed
                    ? new(CommandResult.Unknown("no reply"), "")
                    : new(CommandResult.Ok, id),
        };

        Assert.Equal(code, scene.Run().Refusal?.Code);
        Assert.Equal(2, asked);
    }

    [Fact]
    public void Wrong_instrument_is_neither_configured_nor_read()
    {
        var scene = new Scene
        {
            Identity = id =>
                id == "dmm-2" ? new(CommandResult.Failed("another meter"), "ANOTHER") : new(CommandResult.Ok, id),
        };

        var result = scene.Run();
        var wrong = scene.Meters.Single(m => m.Name == "dmm-2");
        Assert.False(wrong.IsConfigured || wrong.IsRead);
        Assert.Contains(result.Facts, f => f.Code == "IDENTITY");
        Assert.DoesNotContain(scene.Journal.Entries, e => e is GatePassed);
    }

    [Fact]
    public void All_off_is_sent_before_the_bank_is_believed_to_be_off()
    {
        var scene = new Scene();

        scene.Run();
        Assert.Equal(1, scene.Load!.AllOffs);
        Assert.True(scene.Load.IsFanOn);
        Assert.Equal(TimeSpan.Zero, scene.Took);
    }

    [Fact]
    public void Fan_has_five_seconds_to_make_air_flow()
    {
        Assert.True(
            new Scene { AirAfter = 40 }
                .Run()
                .IsPassed
        );
        Assert.Equal(
            "FAN",
            new Scene { AirAfter = 60 }
                .Run()
                .Refusal!.Code
        );
    }

    [Fact]
    public void Plan_that_cannot_run_is_refused_before_anybody_is_asked()
    {
        var bench = Some.Bench();
        var scene = new Scene
        {
            Plan = Planner.Plan(
                Some.Profile(Some.Energise(), Some.Sweep()),
                Some.Nameplate(),
                bench with
                {
                    Bank = bench.Bank with { TotalWatts = new(5000) },
                }
            ),
        };

        Assert.Equal("RATING", scene.Run().Refusal!.Code);
        Assert.Empty(scene.Operator.Asked);
    }

    [Fact]
    public void Every_fact_is_in_the_journal_once_with_its_code_when_refused()
    {
        var scene = new Scene { AirAfter = 60 };

        var result = scene.Run();
        var checks = scene.Journal.Entries.OfType<GateChecked>().ToArray();
        Assert.Equal(result.Facts.Select(f => f.Check), checks.Select(c => c.Check), StringComparer.Ordinal);
        Assert.StartsWith("FAN: ", checks.Single(c => !c.Passed).Found, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0, true, 1)]
    [InlineData(9, true, 10)]
    [InlineData(10, false, 10)]
    public void Relay_is_opened_first_and_has_as_many_looks_to_be_open_as_the_bank(
        int opensAfter,
        bool isPassed,
        int looks
    )
    {
        var relay = new Relay(opensAfter);
        var plan = SequencerTests.Engine.SomePlan.WithRelay;
        var scene = new Scene { Output = relay, Plan = plan };
        var result = scene.Run();
        Assert.Equal((1, looks), (relay.Opened, relay.Read));
        Assert.Equal(
            isPassed,
            result.IsPassed || result.Facts.All(f => !f.Check.Contains("relay", StringComparison.Ordinal) || f.IsPassed)
        );
    }

    [Theory]
    [InlineData(9, true)]
    [InlineData(10, false)]
    public void Bank_that_does_not_answer_is_read_ten_times(int unread, bool isPassed)
    {
        var result = new Scene { Unread = unread }.Run();
        Assert.Equal(isPassed, result.IsPassed);
    }

    [Theory]
    [InlineData(9, null)]
    [InlineData(10, "STUCK")]
    public void Contact_has_ten_looks_to_open_a_tenth_of_a_second_apart(int opensAfter, string? code)
    {
        var scene = new Scene { OpensAfter = opensAfter };
        Assert.Equal(code, scene.Run().Refusal?.Code);
        Assert.Equal(0.9, scene.Took.TotalSeconds, 1e-9);
    }
}
