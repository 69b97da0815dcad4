using System.Buffers.Binary;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SimulatorTests;

/// <summary>Auxiliary output, warming and sudden loads; expected values worked out here, from the world's parameters.</summary>
public class WorkshopUnit
{
    [Fact]
    public void Auxiliary_volts_follow_speed_and_fall_by_Ohms_law_under_load()
    {
        using var rig = new Rig(Quiet());
        rig.RunUp();
        var world = rig.Bench.World.Auxiliary!;
        var open = rig.Bench.Truth.EngineRpm / 1800 * world.Volts;
        Assert.Equal(open, Reading(rig, "power-1", 0), 0.05);
        Assert.Equal(rig.Bench.Truth.EngineRpm * 4 / 120, Reading(rig, "power-1", 2), 0.01);
        Close(rig, 0b1111 << 8);
        var siemens = world.ElementOhms.Sum(ohms => 1 / ohms);
        var loaded = rig.Bench.Truth.EngineRpm / 1800 * world.Volts / (1 + world.SourceOhms * siemens);
        Assert.Equal(loaded, Reading(rig, "power-1", 0), 0.05);
        Assert.Equal(loaded * siemens, Reading(rig, "power-1", 1), 0.05);
        Assert.Equal(loaded * loaded * siemens, Reading(rig, "power-1", 3), 20.0);
        Assert.True(rig.Bench.Truth.EngineRpm < 1850 - 20, "the governor droops under auxiliary load");
    }

    [Fact]
    public void Winding_has_done_63_percent_of_its_rise_after_one_time_constant()
    {
        // Newton's law of heating: 1 − 1/e (textbook). Rise in proportion to the square of the current.
        using var rig = new Rig(Quiet());
        rig.RunUp();
        rig.Bench.Source.SetControl(150, "A");
        Close(rig, 0b1111);
        var heat = rig.Bench.World.Heat!;
        rig.Time.Pass(heat.WindingSeconds);
        var share = rig.Bench.Truth.Amperes / heat.RatedAmperes;
        var rise = heat.WindingRiseKelvin * share * share * (1 - Math.Exp(-1));
        Assert.Equal(rise, Reading(rig, "logger-1", 0) - Reading(rig, "logger-1", 3), 0.02 * rise);
    }

    [Fact]
    public void Constant_voltage_dips_at_a_sudden_load_and_recovers()
    {
        using var rig = new Rig(Quiet());
        rig.Bench.Source.SetMode(SourceMode.ConstantVoltage);
        rig.RunUp();
        rig.Bench.Source.SetControl(28, "V");
        rig.Time.Pass(3);
        var before = rig.Bench.Truth.StudVolts;
        Close(rig, 0b11_1111, wait: 0);
        rig.Time.Pass(0.031);
        var first = rig.Bench.Truth;
        // Just after the contactors closed only what the lag takes off is missing beside the slope.
        Assert.Equal(before - 0.03 * first.Amperes, first.StudVolts, 0.1);
        rig.Time.Pass(2);
        var after = rig.Bench.Truth;
        Assert.Equal(before - 0.01 * after.Amperes, after.StudVolts, 0.02);
    }

    [Fact]
    public void All_off_takes_the_auxiliary_elements_off_too()
    {
        using var rig = new Rig(Quiet());
        rig.RunUp();
        Close(rig, 0b1111 << 8);
        Assert.Equal(0b1111u << 8, rig.Bench.ElementsOn);
        Close(rig, 0);
        Assert.Equal(0u, rig.Bench.ElementsOn);
    }

    private static WorldFile Quiet()
    {
        var world = WorldFile.Workshop();
        return world with
        {
            Control = world.Control with { GainErrorPercent = 0, OffsetPercent = 0, HandPercent = 0 },
            Auxiliary = world.Auxiliary! with { TolerancePercent = 0 },
            Loggers =
            [
                .. world.Loggers!.Select(logger =>
                    logger with
                    {
                        Channels =
                        [
                            .. logger.Channels.Select(channel =>
                                channel with
                                {
                                    ErrorPercent = 0,
                                    Offset = 0,
                                    Noise = 0,
                                }
                            ),
                        ],
                    }
                ),
            ],
        };
    }

    private static void Close(Rig rig, int elements, double wait = 5)
    {
        rig.Exchange("bank-1", Rig.Hex("0001 0000 0006 01 05 000C FF00"), 0.1);
        rig.Time.Pass(wait);
        var (low, high) = (elements & 0xFF, elements >> 8);
        rig.Exchange("bank-1", Rig.Hex($"0002 0000 0009 01 0F 0000 000C 02 {low:X2} {high:X2}"), wait > 0 ? 3 : 0);
    }

    private static double Reading(Rig rig, string device, int channel)
    {
        var answer = rig.Exchange(device, Rig.Hex($"0003 0000 0006 01 04 {8 + 2 * channel:X4} 0002"), 0.05);
        Assert.Equal(13, answer.Length);
        return BinaryPrimitives.ReadSingleBigEndian(answer.AsSpan(9));
    }
}
