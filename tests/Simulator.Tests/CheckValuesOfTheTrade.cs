using LoadTest.Simulator.Faults;

namespace LoadTest.SimulatorTests;

/// <summary>Facts of the trade that the simulated unit has to show. Common practice, no source: none is demo data.</summary>
public class CheckValuesOfTheTrade
{
    private const byte AllBut = 0b1111_1000;

    // Common practice, no source: a feedback shunt that gives 50 mV at 400 A gives 31.25 mV at 250 A.
    [Fact]
    public void Shunt_of_50_mV_at_400_A_shows_its_millivolts_at_the_meter()
    {
        var world = Rig.Ideal();
        using var rig = new Rig(
            world with
            {
                UnitShunt = world.UnitShunt with { RatedAmperes = 400, RatedMillivolts = 50 },
            }
        );
        Load(rig, 250);
        rig.Ask("dmm-3", "CONF:VOLT:DC 0.1");
        Assert.Equal(0.03125, MeterProtocol.Number(rig.Ask("dmm-3", "READ?")), 1e-5);
    }

    // Common practice, no source: open-circuit volts of 58 V to 59 V DC with covered electrodes. A bridge that gives them is fed
    // 3√2/π times less and two diodes more: (58.5 V + 1.8 V)/1.3505 = 44.65 V line to line at rated speed.
    [Fact]
    public void Machine_with_58_to_59_V_open_reads_so_at_the_studs_and_lower_under_load()
    {
        var world = Rig.Ideal();
        var perVolt = 3 * Math.Sqrt(2) / Math.PI;
        using var rig = new Rig(
            world with
            {
                Alternator = world.Alternator with
                {
                    LineVolts =
                        (58.5 + 2 * world.Rectifier.DiodeVolts)
                        / perVolt
                        * world.Engine.RatedRpm
                        / world.Engine.NoLoadRpm,
                },
            }
        );
        rig.RunUp();
        rig.Ask("dmm-1", "CONF:VOLT:DC 100");
        Assert.InRange(MeterProtocol.Number(rig.Ask("dmm-1", "READ?")), 58, 59);
        Assert.True(rig.Bench.Source.SetControl(150, "A").IsDone);
        rig.Close(AllBut);
        Assert.True(rig.Bench.Truth.StudVolts < 58);
    }

    // Common practice, no source: shunt leads lost give full output without control.
    [Fact]
    public void Shunt_leads_lost_give_full_output_whatever_the_control_says()
    {
        using var rig = new Rig(Rig.Ideal());
        Load(rig, 100);
        var held = rig.Bench.Truth.Amperes;
        Assert.Equal(100, held, 0.1);
        rig.Bench.Inject(new Fault("feedback-lead-open"));
        rig.Time.Pass(3);
        var full = rig.Bench.Truth.Amperes;
        Assert.True(rig.Bench.Truth.IsControlLost);
        Assert.True(full > 1.5 * held, $"{full} A");
        Assert.True(rig.Bench.Source.SetControl(30, "A").IsDone);
        rig.Time.Pass(3);
        Assert.Equal(full, rig.Bench.Truth.Amperes, 0.05 * full);
    }

    // Common practice, no source: an engine that stops after 30 s to 60 s points at oil pressure or temperature. The bench shows no
    // more than that volts and speed run down together at that time; what it points at is nothing the simulator knows.
    [Fact]
    public void Engine_that_stops_after_45_s_takes_speed_and_volts_down_together()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Time.Pass(30);
        Assert.True(rig.Bench.Truth.IsEngineRunning);
        Assert.True(rig.Bench.Truth.StudVolts > 60);
        rig.Bench.Inject(new Fault("engine-stall"));
        rig.Time.Pass(15);
        Assert.False(rig.Bench.Truth.IsEngineRunning);
        Assert.Equal(0, rig.Bench.Truth.EngineRpm, 1.0);
        Assert.InRange(rig.Bench.Truth.StudVolts, 0, 1);
    }

    private static void Load(Rig rig, double amperes)
    {
        rig.RunUp();
        Assert.True(rig.Bench.Source.SetControl(amperes, "A").IsDone);
        rig.Close(AllBut);
        rig.Time.Pass(5);
    }
}
