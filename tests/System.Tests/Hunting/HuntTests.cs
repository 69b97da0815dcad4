using LoadTest.Hunting;

namespace LoadTest.SystemTests.Hunting;

/// <summary>The hunt finds nothing in the program as it is, and every fault planted in it.</summary>
public sealed class HuntTests(ITestOutputHelper output)
{
    /// <summary>Seeds within which each planted fault must be found.</summary>
    private const int Cap = 5000;

    /// <summary>Seeds run here; `.ci/run` and a release run more.</summary>
    private const int Seeds = 1000;

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
            "Refused VOLTS, NeverEnergised",
        ];
        Assert.Empty(ways.Except(result.Ends.Keys, StringComparer.Ordinal));
        Assert.InRange(result.MedianEnergised, TimeSpan.FromSeconds(12), TimeSpan.FromSeconds(30));
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

    /// <summary>Holds that a planted fault breaks an invariant within the cap, one that is about it.</summary>
    private void Finds(Planted planted, params Invariant[] expected)
    {
        var result = Hunt.Run(Cap, from: 1, threads: 1, planted: planted);

        var violation = Assert.Single(result.Failing).Violation!;
        output.WriteLine($"After {result.Seeds} seeds, {violation}");
        Assert.Contains(violation.Invariant, expected);
        Assert.Equal(violation, Hunt.RunSeed(violation.Seed, planted).Violation);
    }
}
