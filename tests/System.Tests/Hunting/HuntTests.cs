using LoadTest.Hunting;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>The hunt finds nothing in the program as it is, and every fault planted in it.</summary>
public sealed class HuntTests(ITestOutputHelper output)
{
    /// <summary>Seeds within which each planted fault must be found.</summary>
    private const int Cap = 5000;

    /// <summary>Seeds run here, enough for every kind of mishap and every end; `.ci/run` and a release run more.</summary>
    private const int Seeds = 1500;

    private static readonly Lazy<HuntResult> Found = new(() =>
        Hunt.Run(Seeds, from: 1, threads: Environment.ProcessorCount, goesOn: true)
    );

    [Fact]
    public void No_invariant_is_broken_on_any_seed()
    {
        var result = Found.Value;

        Assert.True(result.Failing.IsEmpty, string.Join('\n', result.Failing.Select(f => f.Violation)));
        Assert.Equal(Seeds, result.Seeds);
        Assert.Equal($"{Seeds} seeds, 0 violations", result.LastLine);
    }

    [Fact]
    public void Seeds_reach_every_way_a_run_can_end()
    {
        var result = Found.Value;

        string[] ways =
        [
            "Complete, Off",
            "Tripped SILENT, Off",
            "Tripped NAN, Off",
            "Tripped OVERLOAD, Off",
            "Tripped VOLTS, Off",
            "Tripped AMPERES, Off",
            "Tripped SOURCE, Off",
            "Tripped TEMP, Off",
            "Tripped FAN, Off",
            "Tripped ESTOP, Off",
            "Failed STEP, Off",
            "Tripped STUCK, OffNotConfirmed",
            "Tripped LINK, OffNotConfirmed",
            "Stopped STOP, Off",
            "Stopped SIGNAL, Off",
            "Stopped DECLINED, Off",
            "Interrupted OPERATOR, Off",
            "Interrupted DISK, Off",
            "Refused IDENTITY, NeverEnergised",
            "Refused VOLTS, Off",
            "Refused POLARITY, Off",
        ];
        Assert.Empty(ways.Except(result.Ends.Keys, StringComparer.Ordinal));
        Assert.InRange(result.MedianSpan, TimeSpan.FromSeconds(15), TimeSpan.FromSeconds(40));
        Assert.InRange(result.MedianEnergised, TimeSpan.FromSeconds(8), TimeSpan.FromSeconds(30));
    }

    [Fact]
    public void A_lost_all_off_is_found() =>
        Finds(PlantedFaults.LostAllOff, Invariant.AllOffAtOnce, Invariant.IntentFirst, Invariant.OffMeansOff);

    [Fact]
    public void An_all_off_that_never_leaves_the_adapter_is_found() =>
        Finds(PlantedFaults.DeafAdapter, Invariant.AllOffAtOnce, Invariant.OffMeansOff);

    [Fact]
    public void A_trip_written_before_the_load_is_removed_is_found() =>
        Finds(PlantedFaults.SwappedTripOrder, Invariant.IntentFirst);

    [Fact]
    public void A_skipped_read_back_is_found() => Finds(PlantedFaults.SkippedReadBack, Invariant.OffMeansOff);

    [Fact]
    public void A_dropped_intent_is_found() => Finds(PlantedFaults.DroppedIntent, Invariant.IntentFirst);

    [Fact]
    public void An_on_after_the_latch_is_found() => Finds(PlantedFaults.OnAfterTheLatch, Invariant.NothingAfterTheEnd);

    [Fact]
    public void A_reading_repeated_when_it_is_missing_is_found() =>
        Finds(PlantedInPorts.RepeatedReading, Invariant.AbsenceTrips, Invariant.FactsAreLater);

    [Fact]
    public void A_flag_taken_for_a_number_is_found() => Finds(PlantedInPorts.TrustedFlag, Invariant.AllOffAtOnce);

    [Fact]
    public void A_wait_without_end_is_found() =>
        Finds(PlantedInPorts.EndlessWait, Invariant.EveryWaitEnds, Invariant.AllOffAgain, Invariant.OffMeansOff);

    [Fact]
    public void An_all_off_that_is_not_repeated_is_found() =>
        Finds(PlantedInPorts.AllOffOnce, Invariant.AllOffAgain, Invariant.OffMeansOff);

    [Fact]
    public void A_line_that_is_back_without_the_owed_all_off_is_found() =>
        Finds(new Planted { Line = line => new ForgetfulLine(line) }, Invariant.OwedFirst);

    [Fact]
    public void An_off_confirmed_too_late_is_found() =>
        Finds(new Planted { Load = (load, pump) => new LateReader(load, pump) }, Invariant.OffInTime);

    [Fact]
    public void A_blind_repeat_is_found() =>
        Finds(PlantedInPorts.BlindRepeat, Invariant.NoBlindRepeat, Invariant.IntentFirst);

    [Fact]
    public void One_element_too_many_is_found() =>
        Finds(PlantedInPorts.OneMore, Invariant.GateFirst, Invariant.IntentFirst);

    [Fact]
    public void A_gate_that_is_not_durable_is_found() =>
        Finds(PlantedInPorts.HastyGate, Invariant.GateFirst, Invariant.IntentFirst);

    [Fact]
    public void Another_cause_in_the_journal_is_found() => Finds(PlantedInPorts.OtherCause, Invariant.FirstCauseStays);

    [Fact]
    public void A_reading_quoted_as_later_than_it_is_is_found() =>
        Finds(PlantedInFacts.OldReadings, Invariant.FactsAreLater);

    [Fact]
    public void An_unconfirmed_end_without_an_instruction_is_found() =>
        Finds(PlantedInFacts.Silence, Invariant.Instructs, Invariant.AllOffAgain);

    [Fact]
    public void An_all_off_called_written_that_never_left_is_found() =>
        Finds(PlantedInFacts.Boast, Invariant.WrittenOnly);

    [Fact]
    public void An_off_that_nobody_found_is_found() => Finds(PlantedInPorts.AlwaysOff, Invariant.OffMeansOff);

    [Fact]
    public void A_relay_closed_again_without_an_intent_is_found() =>
        Finds(new Planted { Output = relay => new TwiceClosed(relay) }, Invariant.IntentFirst);

    [Fact]
    public void A_sleep_nobody_is_told_of_is_found() =>
        Finds(new Planted { Clocks = _ => () => default }, Invariant.AllOffAtOnce);

    [Fact]
    public void A_set_clock_taken_for_a_sleep_is_found() =>
        Finds(
            new Planted { Clocks = look => () => new ClockLook(default, look().WallOffset.Duration()) },
            Invariant.Healthy
        );

    [Fact]
    public void A_failing_seed_is_shrunk_to_mishaps_that_are_needed_for_it()
    {
        var failing = Hunt.Run(Cap, from: 1, threads: 1, planted: PlantedInPorts.AlwaysOff).Failing[0];

        var (only, end) = Hunt.Shrink(failing, PlantedInPorts.AlwaysOff);

        Assert.NotNull(end.Violation);
        for (var k = 0; k < 8; k++)
        {
            if ((only >> k & 1) != 0)
                Assert.Null(
                    Hunt.RunSeed(failing.Violation!.Seed, PlantedInPorts.AlwaysOff, only & ~(1UL << k)).Violation
                );
        }
    }

    [Fact]
    public void Every_kind_of_mishap_happens_and_in_every_stage_of_a_run()
    {
        var coverage = Found.Value.Coverage;

        foreach (var stage in Enum.GetValues<RunStage>())
            Assert.Contains(MishapKind.All.Index(), k => coverage.Alone(k.Index, stage) > 0);
        Assert.DoesNotContain(
            MishapKind.All.Index(),
            k => Enum.GetValues<RunStage>().All(stage => coverage.Partners(k.Index, stage) == 0)
        );
    }

    /// <summary>Holds that a planted fault breaks an invariant within the cap, one that is about it.</summary>
    private void Finds(Planted planted, params Invariant[] expected)
    {
        var result = Hunt.Run(Cap, from: 1, threads: 1, planted: planted);

        var violation = Assert.Single(result.Failing).Violation!;
        output.WriteLine($"After {result.Seeds} seeds, {violation}");
        Assert.Contains(violation.Invariant, expected);
        Assert.Equal(violation, Hunt.RunSeed(violation.Seed, planted).Violation);
    }

    /// <summary>A relay whose closing is sent twice for one intent.</summary>
    private sealed class TwiceClosed(IOutputEnable relay) : IOutputEnable
    {
        public string Name => relay.Name;

        public async Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel)
        {
            if (isOn)
                await relay.SwitchAsync(isOn, permit, cancel);
            return await relay.SwitchAsync(isOn, permit, cancel);
        }

        public Task<RelayState> ReadAsync(CancellationToken cancel) => relay.ReadAsync(cancel);

        public void Open() => relay.Open();
    }
}
