using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>The circuit at one instant: source, leads, lug, reference shunt and bank in one loop.</summary>
internal sealed class Network(WorldFile world, double[] elementOhms, double[] auxiliaryOhms)
{
    private readonly ShuntWorld _unit = world.UnitShunt;
    private readonly ShuntWorld _reference = world.ReferenceShunt;
    private readonly double _unitOhms = SourceModel.RatedOhms(world.UnitShunt);
    private readonly double _referenceOhms = SourceModel.RatedOhms(world.ReferenceShunt);

    /// <summary>Works out volts, amperes and drops from what has memory.</summary>
    /// <remarks>Ohm and Kirchhoff: stud volts = I × (leads + lug + reference shunt + 1/G); I is the smallest of what the control asks and what
    /// the ceiling can drive. Self-consistent at every call: no iteration, because each characteristic is a straight line.</remarks>
    public void Solve(ref PlantState state, Switches set)
    {
        state.CeilingVolts = SourceModel.CeilingVolts(world, set, state.Rpm, state.Field);
        state.Conductance = BankConductance(in state, set.Closed);
        var sense = SourceModel.SenseOhms(_unit, set.UnitRatioError, state.UnitShuntRise, world.AmbientCelsius);
        var emf = SourceModel.ThermalVolts(_unit, state.UnitShuntRise);
        state.LevelTarget = SourceModel.TargetLevel(world, set, state.CeilingVolts, sense, emf);

        var path = world.Leads.Ohms + set.LugOhms + _referenceOhms;
        if (state.Conductance > 0 && set.Output)
        {
            var load = path + 1 / state.Conductance;
            var most = state.CeilingVolts / (world.Rectifier.SourceOhms + _unitOhms + load);
            state.Amperes = Math.Min(Asked(in state, set, load, sense, emf), most);
            state.StudVolts = state.Amperes * load;
            state.BankVolts = state.Amperes / state.Conductance;
            var share = load / (world.Rectifier.SourceOhms + _unitOhms + load);
            Ripple(ref state, set, share);
            state.RippleAmperes = state.RippleVolts / load;
        }
        else
        {
            state.Amperes = 0;
            state.BankVolts = 0;
            state.StudVolts = set.Output ? OpenVolts(in state, set) : 0;
            Ripple(ref state, set, set.Output ? 1 : 0);
            state.RippleAmperes = 0;
            if (state.Conductance == 0)
            {
                // An open bank still shows the stud volts at its own terminals.
                state.BankVolts = state.StudVolts;
            }
        }

        state.UnitDrop = state.Amperes * sense + emf;
        state.ReferenceDrop =
            state.Amperes
                * SourceModel.SenseOhms(
                    _reference,
                    _reference.RatioErrorPercent,
                    state.ReferenceShuntRise,
                    world.AmbientCelsius
                )
            + SourceModel.ThermalVolts(_reference, state.ReferenceShuntRise);
        state.ShaftWatts = state.Amperes * state.StudVolts / world.Engine.Efficiency;
        Auxiliary(ref state, set);
    }

    // Volts follow speed and field; the AC elements load them, and the shaft carries both outputs.
    private void Auxiliary(ref PlantState state, Switches set)
    {
        if (world.Auxiliary is not { } output)
        {
            return;
        }

        var siemens = 0.0;
        for (var k = 0; k < auxiliaryOhms.Length; k++)
        {
            if ((set.Closed >> (elementOhms.Length + k) & 1) != 0)
            {
                siemens += 1 / auxiliaryOhms[k];
            }
        }

        var open = output.Volts * state.Rpm / world.Engine.RatedRpm * state.Field;
        state.AuxiliaryVolts = open / (1 + output.SourceOhms * siemens);
        state.AuxiliaryAmperes = state.AuxiliaryVolts * siemens;
        state.ShaftWatts += state.AuxiliaryVolts * state.AuxiliaryAmperes / output.Efficiency;
    }

    /// <summary>Conductance of the closed elements, warm as they are, S.</summary>
    public double BankConductance(in PlantState state, uint closed)
    {
        var sum = 0.0;
        var perKelvin = world.Bank.PpmPerKelvin * 1e-6;
        for (var k = 0; k < elementOhms.Length; k++)
        {
            if ((closed >> k & 1) != 0)
            {
                sum += 1 / (elementOhms[k] * (1 + perKelvin * (world.AmbientCelsius + state.ElementRise[k] - 20)));
            }
        }

        return sum;
    }

    // What the characteristic asks for into this load, A, before the ceiling has its say.
    private double Asked(in PlantState state, Switches set, double load, double sense, double emf)
    {
        var control = world.Control;
        switch (set.Mode)
        {
            case SourceMode.ConstantCurrent:
                // I = level + s·(load-line volts − I·load).
                var line = SourceModel.LoadLineVolts + SourceModel.LoadLineOhms * state.Level;
                var stiffness = control.AmperesPerVolt;
                // A sudden change of volts shows in the amperes until the control has followed: + k·(U followed − U).
                var sudden = control.Transient?.Siemens ?? 0;
                return Math.Max(
                    0,
                    (state.Level + stiffness * line + sudden * state.FollowedVolts) / (1 + (stiffness + sudden) * load)
                );
            case SourceMode.ConstantVoltage:
                // A sudden change of amperes shows in the volts likewise: − r·(I − I followed).
                var lag = control.Transient?.Ohms ?? 0;
                var free = (state.Level + lag * state.FollowedAmperes) / (load + control.SlopeOhms + lag);
                return set.FeedbackOpen
                    ? free
                    : Math.Min(free, SourceModel.DeliveredFor(world, set, control.CurrentLimitAmperes, sense, emf));
            default:
                return state.Level / (load + DroopOhms(set));
        }
    }

    private double DroopOhms(Switches set)
    {
        var line = SourceModel.LoadLineVolts + SourceModel.LoadLineOhms * set.Signal;
        return Math.Max(1e-3, (world.Control.DroopingVolts * set.Overvoltage - line) / set.Signal);
    }

    private static double OpenVolts(in PlantState state, Switches set) =>
        set.Mode == SourceMode.ConstantCurrent ? state.CeilingVolts : Math.Min(state.Level, state.CeilingVolts);

    private void Ripple(ref PlantState state, Switches set, double share)
    {
        state.RippleHertz = set.RippleMultiple * state.Rpm * world.Alternator.Poles / 120;
        var relative = state.RippleHertz / world.Rectifier.RippleCornerHertz;
        state.RippleVolts = state.CeilingVolts * set.RippleShare * share / Math.Sqrt(1 + relative * relative);
    }
}
