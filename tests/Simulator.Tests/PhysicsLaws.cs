using LoadTest.Simulator;
using LoadTest.Simulator.Faults;

namespace LoadTest.SimulatorTests;

/// <summary>Laws of circuits the simulated unit has to obey; expected values worked out here, from the world's parameters.</summary>
public class PhysicsLaws
{
    private const byte Half = 0b0001_1111;

    [Fact]
    public void Bridge_mean_is_1_3505_times_line_volts()
    {
        // 60 V line to line, conducting load, no smoothing: 3√2/π × 60 V = 81.03 V (textbook value, handbook tables).
        var world = Rig.Ideal();
        using var rig = new Rig(
            world with
            {
                Alternator = world.Alternator with { LineVolts = 60 },
                Engine = world.Engine with { NoLoadRpm = world.Engine.RatedRpm },
                Rectifier = world.Rectifier with { DiodeVolts = 0 },
            }
        );
        rig.RunUp();
        Assert.Equal(81.03, rig.Bench.Truth.StudVolts, 0.005);
    }

    [Theory]
    [InlineData("diode-open")]
    [InlineData("phase-lost")]
    public void Bridge_with_a_fault_gives_the_mean_and_ripple_of_its_waveform(string fault)
    {
        var (mean, ripple) = Waveform(fault);
        var (whole, _) = Waveform("none");
        var world = Rig.Ideal();
        using var rig = new Rig(
            world with
            {
                Rectifier = world.Rectifier with { DiodeVolts = 0, RippleCornerHertz = 1e5 },
            }
        );
        rig.RunUp();
        var before = rig.Bench.Truth.StudVolts;
        rig.Bench.Inject(new Fault(fault));
        var after = rig.Bench.Truth;
        Assert.Equal(mean / whole, after.StudVolts / before, 1e-4);
        Assert.Equal(ripple / mean, after.RippleVolts / after.StudVolts, 1e-3);
    }

    [Fact]
    public void Loop_obeys_Ohm_and_Kirchhoff()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Bench.Source.SetControl(120, "A");
        rig.Close(Half);
        rig.Time.Pass(20);
        var truth = rig.Bench.Truth;
        var world = rig.Bench.World;
        Assert.InRange(truth.Amperes, 100, 140);
        Assert.Equal(truth.BankVolts, truth.Amperes / truth.Conductance, 1e-9);
        var path = world.Leads.Ohms + 0.05 / 500;
        Assert.Equal(truth.StudVolts - truth.BankVolts, truth.Amperes * path, 1e-9);
    }

    [Fact]
    public void Shunt_that_reads_low_delivers_more_by_the_inverse_ratio()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Source.SetControl(200, "A");
        rig.Close(0b0111_1111);
        rig.Time.Pass(5);
        Assert.Equal(200, rig.Bench.Truth.Amperes, 1e-3);
        rig.Bench.Inject(new Fault("shunt-ratio-off", Value: -1.8));
        rig.Time.Pass(5);
        Assert.Equal(200 / 0.982, rig.Bench.Truth.Amperes, 1e-3);

        // The panel reads the same shunt: set = indicated ≠ actual.
        Assert.Equal(200, rig.Bench.Source.ReadPanelAmperes(), 0.01);
    }

    [Fact]
    public void Feedback_gain_brings_amperes_back_but_not_the_shunt()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Source.SetControl(200, "A");
        rig.Close(0b0111_1111);
        rig.Bench.Inject(new Fault("shunt-ratio-off", Value: -2));
        rig.Bench.Source.AdjustFeedbackGain(1 / 0.98);
        rig.Time.Pass(5);
        Assert.Equal(200, rig.Bench.Truth.Amperes, 1e-3);
        Assert.Equal(0.98 * 0.12e-3, rig.Bench.Truth.UnitOhms, 1e-12);
    }

    [Fact]
    public void Sense_lead_is_landed_only_with_the_engine_stopped()
    {
        using var rig = new Rig();
        rig.RunUp();
        Assert.Contains("engine", rig.Bench.Source.AdjustSenseLead().Refusal, StringComparison.Ordinal);
        rig.Bench.Source.SetOutput(on: false);
        rig.Bench.Source.StopEngine();
        rig.Time.Pass(10);
        Assert.True(rig.Bench.Source.AdjustSenseLead().IsDone);

        // 0.06 % at 20 °C and 20 ppm/K over the 3 K to ambient, with what is left of the rise.
        Assert.Equal(0.12e-3 * 1.0006 * (1 + 60e-6), rig.Bench.Truth.UnitOhms, 1e-9);
    }

    [Fact]
    public void Open_feedback_lead_gives_all_the_ceiling_can_drive()
    {
        var world = Rig.Ideal();
        using var rig = new Rig(world);
        rig.RunUp();
        rig.Bench.Source.SetControl(100, "A");
        rig.Close(Half);
        rig.Time.Pass(2);
        Assert.Equal(100, rig.Bench.Truth.Amperes, 0.01);
        rig.Bench.Inject(new Fault("feedback-lead-open"));
        rig.Time.Pass(3);
        var truth = rig.Bench.Truth;
        var ceiling =
            3 * Math.Sqrt(2) / Math.PI * world.Alternator.LineVolts * truth.EngineRpm / world.Engine.RatedRpm - 1.8;
        var loop = world.Rectifier.SourceOhms + 0.12e-3 + world.Leads.Ohms + 0.1e-3 + 1 / 3.875;
        Assert.Equal(ceiling / loop, truth.Amperes, 0.05);
        Assert.True(truth.IsControlLost);
        Assert.Equal(0, rig.Bench.Source.ReadPanelAmperes());
    }

    [Fact]
    public void Constant_current_keeps_amperes_and_fewer_elements_mean_more_volts()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Source.SetControl(100, "A");
        rig.Close(Half);
        rig.Time.Pass(1);
        var many = rig.Bench.Truth;
        rig.Bank("05 00 00 00 00");
        rig.Time.Pass(1);
        var fewer = rig.Bench.Truth;
        Assert.Equal(many.Amperes, fewer.Amperes, 1e-3);
        Assert.True(fewer.StudVolts > many.StudVolts * 1.02);
    }

    [Fact]
    public void Constant_voltage_falls_along_its_slope()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.Bench.Source.SetMode(SourceMode.ConstantVoltage);
        rig.RunUp();
        rig.Bench.Source.SetControl(28, "V");
        rig.Time.Pass(2);
        Assert.Equal(28, rig.Bench.Truth.StudVolts, 1e-3);
        rig.Close(Half);
        rig.Time.Pass(2);
        var truth = rig.Bench.Truth;
        Assert.Equal(28 - 0.01 * truth.Amperes, truth.StudVolts, 1e-3);
    }

    [Fact]
    public void Drooping_output_crosses_the_load_line_at_its_setting()
    {
        // Load line 20 V + 0.04 Ω × I (IEC 60974-1, 11.2, from memory): 150 A at 26 V.
        using var rig = new Rig(Rig.Ideal());
        rig.Bench.Source.SetMode(SourceMode.Drooping);
        rig.RunUp();
        rig.Bench.Source.SetControl(150, "A");
        rig.Close(0b0011_1110);
        rig.Time.Pass(2);
        var truth = rig.Bench.Truth;
        var slope = (68 - 26) / 150.0;
        Assert.Equal(68 - slope * truth.Amperes, truth.StudVolts, 1e-3);
    }

    [Fact]
    public void Governor_droops_with_load_and_frequency_follows()
    {
        using var rig = new Rig();
        rig.RunUp();
        Assert.Equal(1850, rig.Bench.Truth.EngineRpm, 0.5);
        rig.Bench.Source.SetControl(300, "A");
        rig.Close(0b1111_1111);
        rig.Time.Pass(10);
        var truth = rig.Bench.Truth;
        var shaft = truth.Amperes * truth.StudVolts / 0.62;
        Assert.Equal(1850 - 60 * shaft / 18000, truth.EngineRpm, 0.5);
    }

    [Fact]
    public void Overloaded_engine_stalls_and_output_collapses()
    {
        var world = Rig.Ideal();
        using var rig = new Rig(world with { Engine = world.Engine with { StallWatts = 5000 } });
        rig.RunUp();
        rig.Bench.Source.SetControl(300, "A");
        rig.Close(0b1111_1111);
        rig.Time.Pass(20);
        Assert.False(rig.Bench.Truth.IsEngineRunning);
        Assert.True(rig.Bench.Truth.StudVolts < 0.5);
    }

    [Fact]
    public void Warm_element_conducts_less()
    {
        using var rig = new Rig();
        rig.RunUp();
        rig.Bench.Source.SetControl(250, "A");
        rig.Close(0b1111_1111);
        var cold = rig.Bench.Truth.Conductance;
        rig.Time.Pass(300);
        var warm = rig.Bench.Truth;
        Assert.True(warm.Conductance < cold);

        // Steady: rise is 350 K at 80 V, as the square of volts; 100 ppm/K. All elements carry the same volts.
        var rise = 350 * warm.BankVolts * warm.BankVolts / 6400;
        Assert.Equal(cold / (1 + rise * 1e-4), warm.Conductance, cold * 2e-4);
    }

    [Fact]
    public void Output_settles_with_its_time_constant()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Source.SetControl(100, "A");
        rig.Close(Half);
        rig.Time.Pass(5);
        rig.Bench.Source.SetControl(110, "A");
        rig.Time.Pass(0.12);

        // 1 − 1/e of the way after one time constant.
        Assert.Equal(100 + 10 * (1 - 1 / Math.E), rig.Bench.Truth.Amperes, 0.01);
    }

    [Fact]
    public void Looking_never_changes_what_happens()
    {
        using var quiet = new Rig(seed: 7);
        using var watched = new Rig(seed: 7);
        foreach (var rig in new[] { quiet, watched })
        {
            rig.RunUp();
            rig.Bench.Source.SetControl(180, "A");
            rig.Close(Half);
        }

        for (var i = 0; i < 997; i++)
        {
            watched.Time.Pass(TimeSpan.FromTicks(30_091));
            _ = watched.Bench.Truth;
        }

        quiet.Time.Pass(TimeSpan.FromTicks(997 * 30_091));
        Assert.Equal(quiet.Bench.Truth, watched.Bench.Truth);
    }

    [Fact]
    public void Loose_lug_shows_between_studs_and_bank()
    {
        using var rig = new Rig(Rig.Ideal());
        rig.RunUp();
        rig.Bench.Source.SetControl(100, "A");
        rig.Close(Half);
        rig.Time.Pass(2);
        rig.Bench.Inject(new Fault("loose-lug", Value: 8));
        rig.Time.Pass(2);
        var truth = rig.Bench.Truth;
        Assert.Equal(0.0012 + 0.0001 + 0.008, (truth.StudVolts - truth.BankVolts) / truth.Amperes, 1e-9);
    }

    // Mean and rms ripple of the rectified waveform, summed over one cycle: the six or fewer line voltages that conduct.
    private static (double Mean, double Ripple) Waveform(string fault)
    {
        const int Steps = 360_000;
        double sum = 0;
        double squares = 0;
        for (var i = 0; i < Steps; i++)
        {
            var angle = 2 * Math.PI * (i + 0.5) / Steps;
            double[] phase = [Math.Sin(angle), Math.Sin(angle - 2 * Math.PI / 3), Math.Sin(angle + 2 * Math.PI / 3)];
            var top = fault switch
            {
                "diode-open" => Math.Max(phase[1], phase[2]),
                "phase-lost" => Math.Max(phase[1], phase[2]),
                _ => phase.Max(),
            };
            var bottom = fault == "phase-lost" ? Math.Min(phase[1], phase[2]) : phase.Min();
            var volts = Math.Max(0, top - bottom);
            sum += volts;
            squares += volts * volts;
        }

        var mean = sum / Steps;
        return (mean, Math.Sqrt(squares / Steps - mean * mean));
    }
}
