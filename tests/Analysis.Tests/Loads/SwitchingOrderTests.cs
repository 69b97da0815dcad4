using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Loads;

/// <summary>The order rule is common practice, no source; volts and amperes by Ohm's law.</summary>
public sealed class SwitchingOrderTests
{
    [Fact]
    public void Constant_current_closes_before_it_opens()
    {
        // 300 A: 0.2 Ω is 60 V. Closing first passes 0.1 Ω, 30 V; opening first would put 80 V on nothing but air.
        var order = Sequence(Banks.Of(0.2, 0.2), ElementSet.Of(0), ElementSet.Of(1), Banks.Current(300));

        Assert.Equal([true, false], order.Operations.Select(o => o.Closes));
        Assert.Equal([30.0, 60.0], order.Operations.Select(o => Math.Round(o.VoltsAfter.Value, 9)));
    }

    [Fact]
    public void Constant_voltage_opens_before_it_closes()
    {
        var order = Sequence(Banks.Of(0.2, 0.2), ElementSet.Of(0), ElementSet.Of(1), Banks.Voltage(28));

        Assert.Equal([false, true], order.Operations.Select(o => o.Closes));
        Assert.Equal([0.0, 140.0], order.Operations.Select(o => Math.Round(o.AmperesAfter.Value, 9)));
    }

    [Fact]
    public void The_weakest_element_closes_last_and_opens_first()
    {
        // 200 A: A alone (0.4 Ω) is 80 V, with B 40 V, with W as well 20 V: W, good for 25 V, can only come last.
        var bank = WithWeak();

        var up = Sequence(bank, ElementSet.Of(1), bank.All, Banks.Current(200));
        var down = Sequence(bank, bank.All, ElementSet.Of(1), Banks.Current(200));

        Assert.Equal("B W", string.Join(" ", up.Operations.Select(o => o.Id)));
        Assert.Equal("W B", string.Join(" ", down.Operations.Select(o => o.Id)));
    }

    [Fact]
    public void A_wanted_set_above_its_rating_is_said_with_a_way_out()
    {
        // 300 A on 0.2 Ω is 60 V.
        var none = Assert.IsType<NoSwitchingSequence>(
            SwitchingOrder.Find(WithWeak(), ElementSet.None, ElementSet.Of(0), Banks.Current(300), Banks.Quick)
        );

        Assert.Contains("60 V on element W, rated 25 V continuously", none.Reason);
        Assert.Contains("Disable the output, prove it dead", none.Help);
    }

    [Fact]
    public void Short_time_rating_counts_only_while_the_whole_sequence_fits_in_it()
    {
        // From an open bank each element first sees 80 V; the 60 V ones bear that for 1 s, two operations take 0.8 s or 1.2 s.
        var weak = Banks.Element("A", 1, volts: 60) with
        {
            ShortTime = new ShortTimeRating(new Volts(80), TimeSpan.FromSeconds(1)),
        };
        var bank = new LoadBank([weak, weak with { Id = "B" }]);
        SwitchingPlan Plan(double seconds) =>
            SwitchingOrder.Find(
                bank,
                ElementSet.None,
                bank.All,
                Banks.Current(100),
                Banks.Quick with
                {
                    PerOperation = TimeSpan.FromSeconds(seconds),
                }
            );

        Assert.IsType<SwitchingSequence>(Plan(0.4));
        Assert.Contains("Every order", Assert.IsType<NoSwitchingSequence>(Plan(0.6)).Reason);
    }

    [Fact]
    public void A_present_set_that_draws_more_than_the_bench_allows_is_named()
    {
        var limits = Banks.Quick with { MostAmperes = new Amperes(200) };

        var none = Assert.IsType<NoSwitchingSequence>(
            SwitchingOrder.Find(Banks.Of(0.2, 0.2), new(3), new(1), Banks.Voltage(28), limits)
        );

        Assert.Contains("draws 280 A; the bench allows 200 A", none.Reason);
    }

    [Fact]
    public void A_bounded_drooping_source_may_need_closings_and_openings_in_turn()
    {
        // 80 V and 0.1 Ω. Volts: 1 S 72.7, 2 S 66.7, 3 S 61.5; amperes 72.7, 133, 185. The elements bear 70 V, so at
        // least two stay closed; the bench carries 190 A, so at most three. From two to two others: close, open, close, open.
        var elements = Enumerable
            .Range(0, 4)
            .Select(k =>
                Banks.Element($"E{k}", 1, volts: 70) with
                {
                    ShortTime = new ShortTimeRating(new Volts(90), TimeSpan.FromSeconds(1)),
                }
            );
        var limits = new SwitchingLimits(TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(1))
        {
            MostAmperes = new Amperes(190),
        };
        var source = new Drooping(new Volts(80), new Ohms(0.1));

        var plan = SwitchingOrder.Find(new LoadBank(elements), new(0b0011), new(0b1100), source, limits);

        var order = Assert.IsType<SwitchingSequence>(plan);
        Assert.Equal([true, false, true, false], order.Operations.Select(o => o.Closes));
    }

    [Fact]
    public void An_order_is_found_exactly_when_one_exists()
    {
        var counts = new int[4];
        Gen.Select(
                Gen.Double[0.3, 3].Array[1, 7],
                Gen.Int[40, 80].Array[7],
                Gen.UInt,
                Gen.UInt,
                Gen.Select(Gen.Int[0, 2], Gen.Double[30, 200], Gen.Double[60, 260])
            )
            .Sample(
                (ohms, volts, from, to, kind) =>
                {
                    var bank = new LoadBank(
                        ohms.Select(
                            (r, k) =>
                                Banks.Element($"E{k}", r, volts[k]) with
                                {
                                    ShortTime = new ShortTimeRating(new Volts(90), TimeSpan.FromSeconds(1)),
                                }
                        )
                    );
                    SourceCharacteristic source = kind.Item1 switch
                    {
                        0 => Banks.Current(kind.Item2),
                        1 => Banks.Voltage(40, kind.Item2 * 4),
                        _ => new Drooping(new Volts(80), new Ohms(0.15)),
                    };
                    var limits = new SwitchingLimits(TimeSpan.FromSeconds(1.1), TimeSpan.FromSeconds(1))
                    {
                        MostAmperes = new Amperes(kind.Item3),
                    };
                    var (start, end) = (new ElementSet(from & bank.All.Mask), new ElementSet(to & bank.All.Mask));
                    var request = Banks.Wanted(1, source) with { Limits = limits, Present = start };

                    var plan = SwitchingOrder.Find(bank, start, end, source, limits);

                    var exists = BruteForce.HasOrder(bank, request, end) && BruteForce.Stands(bank, request, end);
                    Assert.Equal(exists, plan is SwitchingSequence);
                    Interlocked.Increment(ref counts[(exists ? 1 : 0) + (kind.Item1 == 2 ? 2 : 0)]);
                },
                iter: 10_000
            );
        Assert.All(counts, count => Assert.True(count > 100, "each kind of answer has to occur often"));
    }

    private static LoadBank WithWeak() =>
        new([
            Banks.Element("W", 0.2, volts: 25) with
            {
                ShortTime = new ShortTimeRating(new Volts(80), TimeSpan.FromSeconds(1)),
            },
            Banks.Element("A", 0.4),
            Banks.Element("B", 0.4),
        ]);

    private static SwitchingSequence Sequence(
        LoadBank bank,
        ElementSet from,
        ElementSet to,
        SourceCharacteristic source
    ) =>
        Assert.IsType<SwitchingSequence>(
            SwitchingOrder.Find(
                bank,
                from,
                to,
                source,
                new SwitchingLimits(TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(1))
            )
        );
}
