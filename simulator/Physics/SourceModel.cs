using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>The unit under test: what its parts give, as formulas.</summary>
internal static class SourceModel
{
    /// <summary>Mean of a six-pulse bridge per volt line to line, 3√2/π: 60 V gives 81.03 V.</summary>
    public const double BridgeMean = 1.3504744742356593;

    /// <summary>Ripple of a six-pulse bridge, rms AC over mean, ideal and resistive: 4.20 %, at 6 f.</summary>
    public const double SixPulseRipple = 0.041967;

    /// <summary>One diode open: mean 5/6 of the whole bridge's, ripple 34.1 %, lowest component at f.</summary>
    public const double OneDiodeOpenMean = 5.0 / 6;

    /// <summary>Ripple with one diode open, rms AC over mean.</summary>
    public const double OneDiodeOpenRipple = 0.341;

    /// <summary>One phase lost: a single-phase bridge, mean 2/3 of the whole bridge's, ripple at 2 f.</summary>
    public const double PhaseLostMean = 2.0 / 3;

    /// <summary>Ripple of a single-phase bridge, rms AC over mean: 48.3 %.</summary>
    public const double PhaseLostRipple = 0.483;

    /// <summary>Volts of the conventional load line at no current, V.</summary>
    public const double LoadLineVolts = 20;

    /// <summary>Slope of the conventional load line, Ω.</summary>
    public const double LoadLineOhms = 0.04;

    /// <summary>Speed the governor or the idle holds, rpm.</summary>
    /// <remarks>Droop: no-load speed less droop × shaft power over rated shaft power. 1850 rpm less 60 rpm at rated: 1790.</remarks>
    public static double TargetRpm(EngineWorld engine, Switches set, double shaftWatts)
    {
        if (!set.EngineOn)
        {
            return 0;
        }

        var loss = engine.DroopRpm * shaftWatts / engine.RatedShaftWatts;
        return Math.Max(0, (set.Idling ? engine.IdleRpm : engine.NoLoadRpm) - loss);
    }

    /// <summary>Field the alternator builds up to, 1 = full.</summary>
    public static double TargetField(AlternatorWorld alternator, Switches set, double rpm) =>
        set.BuildUpLost || rpm < alternator.BuildUpRpm ? alternator.ResidualField : 1;

    /// <summary>DC volts behind the source resistance: what the control can give at most.</summary>
    /// <remarks>3√2/π × line volts × speed × field, less two diode drops, times what a fault leaves of it. Commutation is
    /// part of the source resistance.</remarks>
    public static double CeilingVolts(WorldFile world, Switches set, double rpm, double field)
    {
        var line = world.Alternator.LineVolts * rpm / world.Engine.RatedRpm * field * set.Overvoltage;
        return Math.Max(0, BridgeMean * line * set.RectifierShare - 2 * world.Rectifier.DiodeVolts);
    }

    /// <summary>What of a shunt's current shows at its sense terminals, Ω.</summary>
    public static double SenseOhms(ShuntWorld shunt, double ratioErrorPercent, double rise, double ambientCelsius) =>
        RatedOhms(shunt)
        * (1 + ratioErrorPercent / 100)
        * (1 + shunt.PpmPerKelvin * 1e-6 * (ambientCelsius + rise - 20));

    /// <summary>Rated ratio of a shunt as a resistance, Ω: 500 A / 50 mV is 0.1 mΩ.</summary>
    public static double RatedOhms(ShuntWorld shunt) => shunt.RatedMillivolts * 1e-3 / shunt.RatedAmperes;

    /// <summary>Thermal voltage of a shunt's sense circuit, V.</summary>
    public static double ThermalVolts(ShuntWorld shunt, double rise) => shunt.EmfMicrovoltsPerKelvin * 1e-6 * rise;

    /// <summary>Where the control's level is going: A in constant current, V otherwise.</summary>
    /// <param name="world">Parameters.</param>
    /// <param name="set">Switches and settings.</param>
    /// <param name="ceilingVolts">Volts behind the source resistance.</param>
    /// <param name="senseOhms">The unit's shunt as its sense terminals show it now, Ω.</param>
    /// <param name="thermalVolts">Thermal voltage in its sense circuit, V.</param>
    /// <remarks>The control makes (I × sense + emf) × gain equal signal × rated ratio, so I = (signal × rated / gain − emf) /
    /// sense: a shunt that reads 2 % low delivers 1/0.98. With the feedback lead open it sees nothing and opens fully.</remarks>
    public static double TargetLevel(
        WorldFile world,
        Switches set,
        double ceilingVolts,
        double senseOhms,
        double thermalVolts
    )
    {
        if (!set.Output)
        {
            return 0;
        }

        if (set.Mode == SourceMode.Drooping)
        {
            return world.Control.DroopingVolts * set.Overvoltage;
        }

        if (set.Mode == SourceMode.ConstantVoltage)
        {
            return set.Signal * set.Overvoltage;
        }

        return set.FeedbackOpen
            ? 2 * ceilingVolts / world.Rectifier.SourceOhms
            : Math.Max(0, DeliveredFor(world, set, set.Signal, senseOhms, thermalVolts));
    }

    /// <summary>Amperes that make the feedback equal a signal in amperes; see <see cref="TargetLevel"/>.</summary>
    public static double DeliveredFor(
        WorldFile world,
        Switches set,
        double signalAmperes,
        double senseOhms,
        double thermalVolts
    ) => (signalAmperes * RatedOhms(world.UnitShunt) / set.FeedbackGain - thermalVolts) / senseOhms;
}
