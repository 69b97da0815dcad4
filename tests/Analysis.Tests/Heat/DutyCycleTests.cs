using CsCheck;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Quantities;

namespace LoadTest.AnalysisTests.Heat;

/// <summary>Duty cycle over ten minutes: IEC 60974-1 definition as summarised by a standards catalogue (READ).</summary>
public sealed class DutyCycleTests
{
    private static readonly Gen<LoadSpan[]> Loads = Gen.Select(Gen.Int[0, 400], Gen.Int[1, 400])
        .Array[1, 6]
        .Select(steps =>
        {
            var loads = new LoadSpan[steps.Length];
            var at = 0;
            for (var k = 0; k < steps.Length; k++)
            {
                at += steps[k].Item1;
                loads[k] = new LoadSpan(Seconds(at), Seconds(at + steps[k].Item2));
                at += steps[k].Item2;
            }

            return loads;
        });

    [Fact]
    public void Six_minutes_of_load_and_four_without_are_sixty_percent()
    {
        LoadSpan[] loads = [new(Minutes(0), Minutes(6)), new(Minutes(10), Minutes(16))];

        Assert.Equal(0.6, DutyCycle.Before(loads, Minutes(10), DutyCycle.Cycle), 12);
        Assert.Equal(0.6, DutyCycle.Worst(loads, DutyCycle.Cycle), 12);
    }

    [Fact]
    public void Load_back_to_back_over_the_edge_of_two_cycles_shows()
    {
        // Last six minutes of one cycle and first six of the next: twelve minutes on end.
        LoadSpan[] loads = [new(Minutes(4), Minutes(10)), new(Minutes(10), Minutes(16))];

        Assert.Equal(1, DutyCycle.Worst(loads, DutyCycle.Cycle), 12);
    }

    [Fact]
    public void From_cold_load_may_stand_its_part_of_the_cycle()
    {
        Assert.Equal(Minutes(6), DutyCycle.MayStand([], Minutes(0), 0.6, DutyCycle.Cycle));
        Assert.Null(DutyCycle.MayStand([], Minutes(0), 1, DutyCycle.Cycle));
    }

    [Fact]
    public void After_six_minutes_of_load_four_have_to_pass()
    {
        LoadSpan[] loads = [new(Minutes(0), Minutes(6))];

        Assert.Equal(TimeSpan.Zero, DutyCycle.MayStand(loads, Minutes(6), 0.6, DutyCycle.Cycle));
        Assert.Equal(Minutes(4), DutyCycle.WaitFor(loads, Minutes(6), Minutes(6), 0.6, DutyCycle.Cycle));
        Assert.Null(DutyCycle.WaitFor(loads, Minutes(6), Minutes(7), 0.6, DutyCycle.Cycle));
    }

    [Fact]
    public void The_worst_cycle_is_the_worst_of_all_cycles() =>
        Loads.Sample(
            loads =>
            {
                var worst = 0;
                for (var end = 0; end <= 6000; end++)
                {
                    var on = loads.Sum(l =>
                        Math.Max(
                            0,
                            Math.Min(end, (int)l.To.TotalSeconds) - Math.Max(end - 600, (int)l.From.TotalSeconds)
                        )
                    );
                    worst = Math.Max(worst, on);
                }

                Assert.Equal(worst / 600.0, DutyCycle.Worst(loads, DutyCycle.Cycle), 9);
            },
            iter: 300
        );

    [Fact]
    public void Load_for_as_long_as_it_may_stand_is_permitted_and_no_longer() =>
        Gen.Select(Loads, Gen.Int[0, 600], Gen.Int[10, 95])
            .Sample(
                (loads, pause, percent) =>
                {
                    var now = loads[^1].To + Seconds(pause);
                    var part = percent / 100.0;
                    var may = DutyCycle.MayStand(loads, now, part, DutyCycle.Cycle)!.Value;
                    var before = DutyCycle.Before(loads, now, DutyCycle.Cycle);
                    if (before > part)
                    {
                        Assert.Equal(TimeSpan.Zero, may);
                        return;
                    }

                    LoadSpan[] With(TimeSpan span) => [.. loads, new LoadSpan(now, now + span)];
                    Assert.InRange(DutyCycle.Before(With(may), now + may, DutyCycle.Cycle), 0, part + 1e-9);
                    var longer = may + TimeSpan.FromMilliseconds(1);
                    Assert.True(DutyCycle.Before(With(longer), now + longer, DutyCycle.Cycle) > part - 1e-9);
                    Assert.True(
                        DutyCycle.Before(With(longer), now + longer, DutyCycle.Cycle) > part
                            || DutyCycle.Before(With(longer + Minutes(10)), now + longer + Minutes(10), DutyCycle.Cycle)
                                > part
                    );
                },
                iter: 1000
            );

    [Fact]
    public void Duty_follows_the_square_of_the_current()
    {
        // 0.6·(300/250)² = 0.864: common practice, no source.
        RatedDuty[] nameplate = [new(new Amperes(300), 0.6)];

        Assert.Equal(0.864, PermissibleDuty.At(nameplate, new Amperes(250)).Part, 1e-12);
        Assert.Equal(0.6, PermissibleDuty.At(nameplate, new Amperes(300)).Part, 1e-12);
        Assert.Equal(1, PermissibleDuty.At(nameplate, new Amperes(100)).Part);
    }

    [Fact]
    public void Between_two_nameplate_points_the_estimate_joins_them()
    {
        RatedDuty[] nameplate = [new(new Amperes(400), 0.4), new(new Amperes(260), 1), new(new Amperes(300), 0.6)];

        Assert.Equal(0.6, PermissibleDuty.At(nameplate, new Amperes(300)).Part, 1e-12);
        Assert.Equal(1, PermissibleDuty.At(nameplate, new Amperes(260)).Part, 1e-12);
        // ln(0.6/0.4)/ln(400/300) = 1.40942; 0.4·(400/350)^1.40942 = 0.48283: arithmetic.
        var between = PermissibleDuty.At(nameplate, new Amperes(350));
        Assert.Equal(1.40942, between.Exponent, 1e-5);
        Assert.Equal(0.48283, between.Part, 1e-5);
    }

    [Fact]
    public void More_current_is_never_given_more_duty() =>
        Gen.Select(Gen.Double[50, 300], Gen.Double[50, 300])
            .Sample(
                (one, other) =>
                {
                    RatedDuty[] nameplate =
                    [
                        new(new Amperes(150), 0.6),
                        new(new Amperes(200), 0.6),
                        new(new Amperes(300), 0.2),
                    ];
                    var (low, high) = (Math.Min(one, other), Math.Max(one, other));

                    Assert.True(
                        PermissibleDuty.At(nameplate, new Amperes(low)).Part
                            >= PermissibleDuty.At(nameplate, new Amperes(high)).Part - 1e-12
                    );
                },
                iter: 2000
            );

    [Fact]
    public void Above_the_nameplate_nothing_is_estimated() =>
        Assert.Contains(
            "the most the nameplate rates",
            Assert
                .Throws<ArgumentException>(() => PermissibleDuty.At([new(new Amperes(300), 0.6)], new Amperes(301)))
                .Message
        );

    private static TimeSpan Minutes(double value) => TimeSpan.FromMinutes(value);

    private static TimeSpan Seconds(int value) => TimeSpan.FromSeconds(value);
}
