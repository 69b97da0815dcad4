using System.Text;
using LoadTest.Simulator.Faults;

namespace LoadTest.SimulatorTests;

/// <summary>Faults strike where they are meant to, and one seed gives one bench.</summary>
public class FaultsAndSeeds
{
    [Fact]
    public void Same_seed_gives_the_same_bytes_and_another_does_not()
    {
        var first = Session(48213);
        Assert.Equal(first, Session(48213));
        Assert.False(first == Session(48214), "two seeds gave the same readings");
    }

    [Fact]
    public void Traffic_on_one_meter_never_changes_another()
    {
        string Readings(bool busy)
        {
            using var rig = new Rig(seed: 5);
            rig.RunUp();
            var text = new StringBuilder();
            for (var i = 0; i < 20; i++)
            {
                if (busy)
                {
                    rig["dmm-1"].Receive("READ?\n"u8);
                }

                text.Append(rig.Ask("dmm-2", "READ?", 0.1)).Append('\n');
            }

            return text.ToString();
        }

        Assert.Equal(Readings(busy: false), Readings(busy: true));
    }

    [Fact]
    public void Every_fault_can_be_injected_and_cleared_and_leaves_a_bench_that_works()
    {
        var world = Rig.Ideal();
        foreach (var name in FaultCatalogue.Names.Where(n => FaultCatalogue.TargetOf(n) != FaultTarget.ModbusTcp))
        {
            using var rig = new Rig(world);
            rig.RunUp();
            rig.Close(1);
            rig.Bench.Source.SetControl(100, "A");
            rig.Time.Pass(3);
            var healthy = rig.Bench.Truth;
            rig.Bench.Inject(Aimed(name));
            rig.Time.Pass(3);
            rig.Bench.ClearFaults();
            rig.Bench.Source.StartEngine();
            rig.Time.Pass(20);
            rig.Bank("0F 00 00 00 08 01 01");
            rig.Time.Pass(1);
            Assert.Equal(healthy.Amperes, rig.Bench.Truth.Amperes, 0.05);
            Assert.Equal("SIMULATED BENCH,METER,SM-1001,1.0", rig.Ask("dmm-1", "*IDN?"));
        }
    }

    [Fact]
    public void Fault_comes_at_its_time()
    {
        var world = Rig.Ideal();
        using var rig = new Rig(
            world with
            {
                Faults =
                [
                    new FaultWorld
                    {
                        Fault = "instrument-silent",
                        Device = "dmm-2",
                        AtSeconds = 12.5,
                    },
                ],
            }
        );
        rig.Time.Pass(12.4);
        Assert.NotEmpty(rig.Ask("dmm-2", "*IDN?", 0.05));
        rig.Time.Pass(0.1);
        Assert.Empty(rig.Ask("dmm-2", "*IDN?"));
        Assert.NotEmpty(rig.Ask("dmm-1", "*IDN?"));
    }

    [Fact]
    public void Welded_contactor_stays_closed_whatever_is_written()
    {
        using var rig = new Rig();
        rig.Close(0b0000_1010);
        rig.Bench.Inject(new Fault("element-stuck-closed", Element: 3));
        rig.Bank("0F 00 00 00 08 01 00");
        Assert.Equal(0b1000u, rig.Bench.ElementsOn);
        Assert.Equal(Rig.Hex("01 01 00"), rig.Bank("01 00 00 00 08"));
        Assert.Equal(Rig.Hex("02 01 08"), rig.Bank("02 00 00 00 08"));
        rig.Bench.Source.PressStop(pressed: true);
        rig.Time.Pass(1);
        Assert.True(rig.Bench.AnyElementEnergised);
        rig.Bench.ClearFaults();
        rig.Time.Pass(1);
        Assert.False(rig.Bench.AnyElementEnergised);
    }

    [Fact]
    public void Dead_contactor_stays_open()
    {
        using var rig = new Rig();
        rig.Bench.Inject(new Fault("element-stuck-open", Element: 0));
        rig.Close(0b11);
        Assert.Equal(0b10u, rig.Bench.ElementsOn);
    }

    [Fact]
    public void Ignored_write_is_answered_as_done()
    {
        using var rig = new Rig();
        rig.Bench.Inject(new Fault("write-ignored", Count: 1));
        Assert.Equal(Rig.Hex("0F 00 00 00 08"), rig.Bank("0F 00 00 00 08 01 03"));
        Assert.Equal(0u, rig.Bench.ElementsOn);
        Assert.Equal(3u, rig.Bench.LastLoadCommand?.Elements);
        rig.Bank("0F 00 00 00 08 01 03");
        Assert.Equal(3u, rig.Bench.ElementsOn);
    }

    [Fact]
    public void Busy_bank_answers_exception_06_and_does_nothing()
    {
        using var rig = new Rig();
        rig.Bench.Inject(new Fault("busy", Count: 2));
        Assert.Equal(Rig.Hex("8F 06"), rig.Bank("0F 00 00 00 08 01 03"));
        Assert.Equal(Rig.Hex("81 06"), rig.Bank("01 00 00 00 08"));
        Assert.Equal(Rig.Hex("01 01 00"), rig.Bank("01 00 00 00 08"));
    }

    [Fact]
    public void Lost_answer_belongs_to_an_obeyed_request()
    {
        using var rig = new Rig();
        rig.Bench.Inject(new Fault("drop-reply", "bank-1"));
        Assert.Empty(rig.Exchange("bank-1", Rig.Rtu(1, Rig.Hex("05 00 00 FF 00"))));
        Assert.Equal(1u, rig.Bench.ElementsOn);
    }

    [Fact]
    public void Late_corrupt_and_double_answers_are_just_that()
    {
        using var rig = new Rig();
        rig.Bench.Inject(new Fault("late-reply", "dmm-1", Value: 400));
        Assert.Empty(rig.Ask("dmm-1", "*IDN?", 0.4));
        Assert.Equal("1", rig.Ask("dmm-1", "*OPC?", 0.1).Split('\n')[^1]);

        rig.Bench.Inject(new Fault("corrupt-reply", "bank-1"));
        var request = Rig.Rtu(1, Rig.Hex("04 00 00 00 01"));
        var good = Rig.Rtu(1, Rig.Hex("04 02 4C 54"));
        var bad = rig.Exchange("bank-1", request);
        Assert.Equal(
            1,
            bad.Zip(good).Sum(pair => System.Numerics.BitOperations.PopCount((uint)(pair.First ^ pair.Second)))
        );

        rig.Bench.Inject(new Fault("duplicate-reply", "bank-1"));
        Assert.Equal([.. good, .. good], rig.Exchange("bank-1", request));
        Assert.Equal(good, rig.Exchange("bank-1", request));
    }

    [Fact]
    public void Frozen_meter_repeats_and_the_others_move()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Ask("dmm-1", "CONF:VOLT:DC 100");
        var last = rig.Ask("dmm-1", "READ?");
        rig.Bench.Inject(new Fault("meter-frozen", "dmm-1"));
        Assert.Equal(last, rig.Ask("dmm-1", "READ?"));
        rig.Bench.Source.SetOutput(on: false);
        Assert.Equal(last, rig.Ask("dmm-1", "READ?"));
        rig.Bench.ClearFaults();
        Assert.False(last == rig.Ask("dmm-1", "READ?"), "the meter is still frozen");
    }

    [Fact]
    public void Restarted_meter_has_its_usual_settings_and_says_so()
    {
        using var rig = new Rig();
        rig.Ask("dmm-1", "*CLS;:CONF:VOLT:DC 100;:VOLT:NPLC 10");
        Assert.Equal("0", rig.Ask("dmm-1", "*ESR?"));
        rig.Bench.Inject(new Fault("meter-restarted", "dmm-1"));
        Assert.Equal("128;+1.00000000E+00;1", rig.Ask("dmm-1", "*ESR?;:VOLT:NPLC?;RANG:AUTO?"));
    }

    [Fact]
    public void Stalled_engine_takes_the_output_with_it_and_may_come_back()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Bench.Source.SetControl(100, "A");
        rig.Close(0x1F);
        rig.Bench.Inject(new Fault("engine-stall", Value: 10));
        rig.Time.Pass(9);
        Assert.True(rig.Bench.Truth.Amperes < 3);
        rig.Time.Pass(10);
        Assert.InRange(rig.Bench.Truth.Amperes, 95, 105);
    }

    [Fact]
    public void Dead_spot_holds_the_output_while_the_dial_moves()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Inject(new Fault("control-dead-spot", Value: 50));
        rig.Close(0x7F);
        double At(double mark)
        {
            Assert.True(rig.Bench.Source.SetControl(mark, "A").IsDone);
            rig.Time.Pass(3);
            return rig.Bench.Truth.Amperes;
        }

        // 50 % of 30 A to 300 A is 165 A; the spot reaches from 151.5 A to 178.5 A.
        Assert.Equal(150, At(150), 0.01);
        Assert.Equal(151.5, At(160), 0.01);
        Assert.Equal(151.5, At(175), 0.01);
        Assert.Equal(180, At(180), 0.01);
    }

    [Theory]
    [InlineData("feedback-open", null, null, null, "is not a fault")]
    [InlineData("element-stuck-closed", null, 8, null, "from 0 to 7")]
    [InlineData("meter-frozen", "bank-1", null, null, "needs a meter")]
    [InlineData("drop-reply", null, null, null, "needs a device")]
    [InlineData("loose-lug", null, null, -1.0, "allowed is 0.01 to 1000 mΩ")]
    [InlineData("fan-failed", null, null, 3.0, "has no size")]
    public void Fault_that_cannot_be_is_refused(string name, string? device, int? element, double? value, string reason)
    {
        using var rig = new Rig();
        var refusal = Assert.Throws<ArgumentException>(() => rig.Bench.Inject(new Fault(name, device, element, value)));
        Assert.Contains(reason, refusal.Message, StringComparison.Ordinal);
    }

    private static Fault Aimed(string name) =>
        FaultCatalogue.TargetOf(name) switch
        {
            FaultTarget.Element => new(name, Element: 2),
            FaultTarget.Device or FaultTarget.Modbus => new(name, "bank-1"),
            FaultTarget.Meter => new(name, "dmm-1"),
            _ => new(name),
        };

    private static string Session(ulong seed)
    {
        using var rig = new Rig(seed: seed);
        var text = new StringBuilder();
        rig.RunUp();
        rig.Bench.Source.SetControl(200, "A");
        rig.Close(0x7F);
        foreach (var meter in new[] { "dmm-1", "dmm-2", "dmm-3" })
        {
            for (var i = 0; i < 10; i++)
            {
                text.AppendLine(rig.Ask(meter, "READ?", 0.1));
                text.AppendLine(Convert.ToHexString(rig.Bank("04 00 08 00 06")));
            }
        }

        return text.ToString();
    }
}
