using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>Moves a state forward while nothing is switched.</summary>
internal sealed class Motion
{
    /// <summary>Step while something settles, 10 ms.</summary>
    public const long FastTicks = 100_000;

    /// <summary>Step while everything is steady, 100 ms.</summary>
    public const long SlowTicks = 1_000_000;

    // Still air takes away a fifth of what full air flow does.
    private const double StillAir = 0.2;

    // Resistance of a lug that is tight, Ω.
    private const double SoundLugOhms = 1e-4;

    private readonly WorldFile _world;
    private readonly Network _network;
    private readonly double[] _ratedWatts;
    private readonly double _ratedBankWatts;
    private readonly double[] _elementOhms;
    private readonly Rates _fast;
    private readonly Rates _slow;

    public Motion(WorldFile world, Network network, double[] elementOhms)
    {
        _world = world;
        _network = network;
        _elementOhms = elementOhms;
        var square = world.Bank.RatedVolts * world.Bank.RatedVolts;
        _ratedWatts = world.Bank.ElementOhms.Select(ohms => square / ohms).ToArray();
        _ratedBankWatts = _ratedWatts.Sum();
        _fast = Rates.For(world, FastTicks);
        _slow = Rates.For(world, SlowTicks);
    }

    /// <summary>Advances a state by a time in which no switch moves.</summary>
    public void Step(ref PlantState state, long ticks, Switches set)
    {
        var rates =
            ticks == FastTicks ? _fast
            : ticks == SlowTicks ? _slow
            : Rates.For(_world, ticks);
        var before = (state.StudVolts, state.BankVolts, state.UnitDrop, state.ReferenceDrop);

        Machine(ref state, rates, set);
        Warm(ref state, rates, set);
        Bank(ref state, rates, set);
        state.Ticks += ticks;
        _network.Solve(ref state, set);

        var half = rates.Seconds * 0.5;
        state.StudVoltSeconds += half * (before.StudVolts + state.StudVolts);
        state.BankVoltSeconds += half * (before.BankVolts + state.BankVolts);
        state.UnitDropSeconds += half * (before.UnitDrop + state.UnitDrop);
        state.ReferenceDropSeconds += half * (before.ReferenceDrop + state.ReferenceDrop);
    }

    /// <summary>True when output, speed and field have arrived where they are going.</summary>
    public bool IsSteady(in PlantState state, Switches set)
    {
        var rpm = SourceModel.TargetRpm(_world.Engine, set, state.ShaftWatts);
        return Math.Abs(state.LevelTarget - state.Level) <= 2e-4 * (1 + state.LevelTarget)
            && Math.Abs(rpm - state.Rpm) < 0.5
            && HasFollowed(in state)
            && Math.Abs(SourceModel.TargetField(_world.Alternator, set, state.Rpm) - state.Field) < 2e-4;
    }

    // Where the control follows at once there is nothing to wait for.
    private bool HasFollowed(in PlantState state) =>
        _world.Control.Transient is null
        || (
            Math.Abs(state.StudVolts - state.FollowedVolts) < 2e-3 * (1 + state.StudVolts)
            && Math.Abs(state.Amperes - state.FollowedAmperes) < 2e-3 * (1 + state.Amperes)
        );

    private void Machine(ref PlantState state, in Rates rates, Switches set)
    {
        var target = SourceModel.TargetRpm(_world.Engine, set, state.ShaftWatts);
        state.Rpm += (target - state.Rpm) * (set.EngineOn ? rates.Engine : rates.Coast);
        state.Field += (SourceModel.TargetField(_world.Alternator, set, state.Rpm) - state.Field) * rates.Field;
        state.Level = set.Output ? state.Level + (state.LevelTarget - state.Level) * rates.Level : 0;
        state.FollowedVolts += (state.StudVolts - state.FollowedVolts) * rates.Following;
        state.FollowedAmperes += (state.Amperes - state.FollowedAmperes) * rates.Following;
        state.UnitShuntRise += (ShuntRise(_world.UnitShunt, state.Amperes) - state.UnitShuntRise) * rates.UnitShunt;
        state.ReferenceShuntRise +=
            (ShuntRise(_world.ReferenceShunt, state.Amperes) - state.ReferenceShuntRise) * rates.ReferenceShunt;
    }

    // Copper warms with the square of the current; a loose lug adds its own resistance to that of a sound one.
    private void Warm(ref PlantState state, in Rates rates, Switches set)
    {
        if (_world.Heat is not { } heat)
        {
            return;
        }

        var share = state.Amperes / heat.RatedAmperes;
        var winding = heat.WindingRiseKelvin * share * share;
        state.WindingRise += (winding - state.WindingRise) * (set.EngineOn ? rates.Winding : rates.WindingStill);
        var lug = heat.LugRiseKelvin * share * share * (1 + set.LugOhms / SoundLugOhms);
        state.LugRise += (lug - state.LugRise) * rates.Lug;
    }

    private void Bank(ref PlantState state, in Rates rates, Switches set)
    {
        var bank = _world.Bank;
        state.AirFlow += ((set.FanTurning ? 1 : 0) - state.AirFlow) * rates.AirFlow;
        var cooling = StillAir + (1 - StillAir) * state.AirFlow;
        var watts = 0.0;
        for (var k = 0; k < _elementOhms.Length; k++)
        {
            var warm = 0.0;
            if ((set.Closed >> k & 1) != 0)
            {
                var elementWatts = state.BankVolts * state.BankVolts / _elementOhms[k];
                watts += elementWatts;
                warm = bank.RiseKelvin * elementWatts / _ratedWatts[k] / cooling;
            }

            state.ElementRise[k] += (warm - state.ElementRise[k]) * rates.Element;
        }

        watts += state.AuxiliaryVolts * state.AuxiliaryAmperes;
        var outlet = bank.OutletRiseKelvin * watts / _ratedBankWatts / cooling;
        state.OutletRise += (outlet - state.OutletRise) * rates.Outlet;
    }

    private static double ShuntRise(ShuntWorld shunt, double amperes)
    {
        var share = amperes / shunt.RatedAmperes;
        return shunt.RiseKelvin * share * share;
    }
}
