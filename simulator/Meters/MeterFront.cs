using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Meters;

/// <summary>The measuring part of a meter: averages over its aperture, then errs as its parameters say.</summary>
/// <remarks>A DC reading is the exact mean of the simulated quantity over the aperture, plus what the aperture leaves of the ripple,
/// times gain, plus offset and noise, rounded to a count.</remarks>
internal sealed class MeterFront(Plant plant, MeterWorld world, Chance chance)
{
    private const double OverRange = 1.2;
    private const double AcSeconds = 0.1;
    private const double Sqrt2 = 1.4142135623730951;

    private long _startTicks;
    private double _startIntegral;

    public MeterSettings Dc { get; } = new(world);
    public MeterSettings Ac { get; } = new(world);

    /// <summary>True when the function is volts AC.</summary>
    public bool IsAc { get; set; }
    public MeterSettings Settings => IsAc ? Ac : Dc;
    public MeterFaults Faults { get; } = new();

    /// <summary>The last reading; null when there is none.</summary>
    public double? Last { get; private set; }

    /// <summary>True when the last reading was over range.</summary>
    public bool IsOverRange { get; private set; }

    /// <summary>Starts a reading and says how long it takes.</summary>
    public TimeSpan Begin()
    {
        ref readonly var state = ref plant.Look();
        _startTicks = state.Ticks;
        _startIntegral = Integral(in state);
        var seconds = Math.Max(IsAc ? AcSeconds : Settings.ApertureSeconds, 1 / world.ReadingsPerSecond);
        return TimeSpan.FromTicks((long)(seconds * 1e7));
    }

    /// <summary>Ends the reading that was begun.</summary>
    public double Finish()
    {
        ref readonly var state = ref plant.Look();
        var value = Faults.Apply(IsAc ? Alternating(in state) : Direct(in state));
        Settings.Follow(value);
        value = value * Gain(in state) + world.OffsetPpm * 1e-6 * Settings.RangeVolts + Bow(value) + Noise();
        IsOverRange = Faults.Overload || Math.Abs(value) > OverRange * Settings.RangeVolts;
        var count = Settings.CountVolts;
        var reading =
            Faults.NotANumber ? ScpiNumber.NotANumber
            : IsOverRange ? (value < 0 ? -ScpiNumber.Infinity : ScpiNumber.Infinity)
            : Math.Round(value / count) * count;
        if (!Faults.Frozen || Last is null)
        {
            Last = reading;
        }

        return Last.Value;
    }

    /// <summary>The usual settings: volts DC, automatic range, one power-line cycle.</summary>
    public void Reset()
    {
        IsAc = false;
        Dc.Preset();
        Ac.Preset();
    }

    /// <summary>Power was gone for a moment: usual settings, no reading.</summary>
    public void Restart()
    {
        Reset();
        Last = null;
    }

    private double Direct(in PlantState state)
    {
        var seconds = (state.Ticks - _startTicks) * 1e-7;
        var mean = seconds > 0 ? (Integral(in state) - _startIntegral) / seconds : Instant(in state);
        var window = Math.Min(seconds, Settings.ApertureSeconds);

        // An engine's speed never holds to a fraction of a ripple cycle between two readings: the phase is chance.
        var left = Portable.WindowedMean(state.RippleHertz * window) * Portable.SineOfTurns(chance.Uniform());
        return mean + Sqrt2 * RippleRms(in state) * left;
    }

    private double Alternating(in PlantState state) => RippleRms(in state);

    private double Gain(in PlantState state)
    {
        var warm = world.WarmUpPpm * Portable.Exp(-state.Ticks * 1e-7 / world.WarmUpSeconds);
        return 1 + (world.GainErrorPpm + warm) * 1e-6;
    }

    // A parabola over the range, alike for both signs.
    private double Bow(double value)
    {
        var part = Math.Min(1, Math.Abs(value) / Settings.RangeVolts);
        return world.LinearityPpm * 1e-6 * Settings.RangeVolts * 4 * part * (1 - part);
    }

    // White noise: the shorter the aperture, the more; a long one gains at most a factor of five.
    private double Noise() =>
        chance.Normal() * world.NoisePpm * 1e-6 * Settings.RangeVolts / Math.Sqrt(Math.Min(25, Settings.Cycles));

    private double Integral(in PlantState state) =>
        world.Senses switch
        {
            "stud volts" => state.StudVoltSeconds,
            "bank volts" => state.BankVoltSeconds,
            "reference shunt" => state.ReferenceDropSeconds,
            _ => state.UnitDropSeconds,
        };

    private double Instant(in PlantState state) =>
        world.Senses switch
        {
            "stud volts" => state.StudVolts,
            "bank volts" => state.BankVolts,
            "reference shunt" => state.ReferenceDrop,
            _ => state.UnitDrop,
        };

    private double RippleRms(in PlantState state) =>
        world.Senses switch
        {
            "stud volts" => state.RippleVolts,
            "bank volts" => state.Conductance > 0 ? state.RippleAmperes / state.Conductance : state.RippleVolts,
            "reference shunt" => state.RippleAmperes * SourceModel.RatedOhms(plant.World.ReferenceShunt),
            _ => state.RippleAmperes * SourceModel.RatedOhms(plant.World.UnitShunt),
        };
}
