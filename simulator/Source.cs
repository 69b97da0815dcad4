using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator;

/// <summary>What a hand did at the machine, or why it could not.</summary>
/// <param name="Refusal">Why not; null when it was done.</param>
/// <param name="Value">What was read, where something was read.</param>
public readonly record struct HandAnswer(string? Refusal, double? Value = null)
{
    /// <summary>True when it was done.</summary>
    public bool IsDone => Refusal is null;
}

/// <summary>The unit under test as a person in front of it handles it.</summary>
public sealed class Source
{
    private const double DeadSpotHalfWidth = 0.05;

    private readonly Plant _plant;
    private readonly Chance _hand;
    private double _dial;
    private double _handError;
    private double? _deadSpot;

    internal Source(Plant plant, ulong seed)
    {
        _plant = plant;
        _hand = new Chance(seed, "hand on the dial");
        _dial = Lowest;
        HealthyRatioError = plant.World.UnitShunt.RatioErrorPercent;
        plant.Change(_ => Refresh());
    }

    /// <summary>Error of the unit's shunt without an injected fault, %.</summary>
    internal double HealthyRatioError { get; private set; }

    /// <summary>What the dial shows now, A or V by mode.</summary>
    public double Dial => _dial;

    /// <summary>The characteristic now chosen.</summary>
    public SourceMode Mode => Set.Mode;

    private Switches Set => _plant.Set;
    private ControlWorld Control => _plant.World.Control;
    private bool IsVolts => Set.Mode == SourceMode.ConstantVoltage;
    private double Lowest => IsVolts ? Control.MinimumVolts : Control.MinimumAmperes;
    private double Highest => IsVolts ? Control.MaximumVolts : Control.MaximumAmperes;
    private string Unit => IsVolts ? "V" : "A";

    /// <summary>Turns the starter; the engine runs after its cranking time.</summary>
    public HandAnswer StartEngine()
    {
        if (Set.EngineOn || Set.Cranking)
        {
            return new("the engine is running already.");
        }

        _plant.Change(ticks =>
        {
            Set.Cranking = true;
            _plant.Agenda.Add(ticks + (long)(_plant.World.Engine.CrankSeconds * 1e7), Fire);
        });
        return default;
    }

    /// <summary>Stops the engine by its own switch.</summary>
    public HandAnswer StopEngine()
    {
        _plant.Change(_ => _plant.Engine.Stop(Set));
        return default;
    }

    /// <summary>Switches the weld output.</summary>
    public HandAnswer SetOutput(bool on)
    {
        _plant.Change(_ => Set.Output = on);
        return default;
    }

    /// <summary>Chooses the characteristic; the dial goes to its lowest mark.</summary>
    public HandAnswer SetMode(SourceMode mode)
    {
        if (Set.Output && mode != Set.Mode)
        {
            return new("the output is on; switch it off before changing the mode.");
        }

        _plant.Change(_ =>
        {
            Set.Mode = mode;
            _dial = Lowest;
            _handError = 0;
            Refresh();
        });
        return default;
    }

    /// <summary>Turns the dial to a mark.</summary>
    /// <param name="value">Amperes, or volts in constant voltage.</param>
    /// <param name="unit">"A" or "V"; has to fit the mode.</param>
    public HandAnswer SetControl(double value, string unit)
    {
        if (unit != Unit)
        {
            return new($"in this mode the dial is marked in {Unit}, not {unit}.");
        }

        if (!(value >= Lowest && value <= Highest))
        {
            return new($"{value} {unit} is not on the dial; it goes from {Lowest} {unit} to {Highest} {unit}.");
        }

        _plant.Change(_ =>
        {
            _dial = value;
            _handError = _hand.Normal() * Control.HandPercent / 100 * Highest;
            Refresh();
        });
        return default;
    }

    /// <summary>Turns the dial to its lowest mark.</summary>
    public HandAnswer SetControlMinimum() => SetControl(Lowest, Unit);

    /// <summary>Turns the dial to its highest mark.</summary>
    public HandAnswer SetControlMaximum() => SetControl(Highest, Unit);

    /// <summary>Lets the engine idle down by itself without load, or not.</summary>
    public HandAnswer SetIdleDown(bool on)
    {
        _plant.Change(_ => Set.IdleDown = on);
        return default;
    }

    /// <summary>Turns the trim of the current feedback; 1 is as delivered by its maker.</summary>
    /// <param name="gain">0.9 to 1.1. More gain, less current.</param>
    public HandAnswer AdjustFeedbackGain(double gain)
    {
        if (!(gain >= 0.9 && gain <= 1.1))
        {
            return new($"the trim goes from 0.9 to 1.1, not to {gain}.");
        }

        _plant.Change(_ => Set.FeedbackGain = gain);
        return default;
    }

    /// <summary>Lands the sense lead of the unit's shunt where it belongs; only with the engine stopped.</summary>
    public HandAnswer AdjustSenseLead()
    {
        if (Set.EngineOn || Set.Cranking || _plant.Look().Rpm > 60)
        {
            return new("the engine turns; a feedback lead is only touched with the engine stopped.");
        }

        var shunt = _plant.World.UnitShunt;
        HealthyRatioError = shunt.RelandedRatioErrorPercent ?? shunt.RatioErrorPercent;
        _plant.Change(_ => Set.UnitRatioError = HealthyRatioError);
        return default;
    }

    /// <summary>Presses the bank's hard-wired stop button, or releases it.</summary>
    public HandAnswer PressStop(bool pressed)
    {
        _plant.Change(ticks => _plant.Bank.PressStop(pressed, ticks));
        return default;
    }

    /// <summary>What the panel ammeter shows, A: the unit's own shunt by its rated ratio, feedback open or not.</summary>
    public double ReadPanelAmperes()
    {
        var panel = _plant.World.Panel;
        var drop = Set.FeedbackOpen ? 0 : _plant.Look().UnitDrop;
        var amperes = drop / SourceModel.RatedOhms(_plant.World.UnitShunt);
        return Digits(amperes * (1 + panel.AmperesErrorPercent / 100), panel.AmperesDigit);
    }

    /// <summary>What the panel voltmeter shows, V.</summary>
    public double ReadPanelVolts()
    {
        var panel = _plant.World.Panel;
        return Digits(_plant.Look().StudVolts * (1 + panel.VoltsErrorPercent / 100), panel.VoltsDigit);
    }

    /// <summary>Engine speed on the tachometer, rpm.</summary>
    public double ReadEngineSpeed() => Math.Round(_plant.Look().Rpm);

    /// <summary>Where the dead spot of the control lies, as a fraction of its range; null for none.</summary>
    internal void SetDeadSpot(double? centre)
    {
        _deadSpot = centre;
        Refresh();
    }

    internal void Refresh()
    {
        var effective = _dial;
        var share = Highest > Lowest ? (_dial - Lowest) / (Highest - Lowest) : 0;
        if (_deadSpot is { } centre && Math.Abs(share - centre) < DeadSpotHalfWidth)
        {
            effective = Lowest + (centre - DeadSpotHalfWidth) * (Highest - Lowest);
        }

        var signal = effective * (1 + Control.GainErrorPercent / 100) + Control.OffsetPercent / 100 * Highest;
        Set.Signal = Math.Max(0.01, signal + _handError);
    }

    private void Fire()
    {
        if (Set.Cranking)
        {
            Set.Cranking = false;
            Set.EngineOn = true;
        }
    }

    // The product of a whole number and a digit such as 0.1 carries rounding; a display does not.
    private static double Digits(double value, double digit) => Math.Round(Math.Round(value / digit) * digit, 6);
}
