using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Sequencer.Engine;

/// <summary>When a reading says that no current flows.</summary>
/// <remarks>
/// Below 1 % of the reference shunt's rating, and below half of what the bank's weakest single element would draw: one
/// element left on must show. Never below twice what the meter may be off at zero, or no load would ever count as off.
/// An 8 Ω element at 62 V draws 7.75 A, so 3.9 A counts; of a 500 A shunt 1 % are 5 A.
/// </remarks>
internal static class NoCurrent
{
    private const double PartOfRating = 0.01;
    private const double PartOfElement = 0.5;

    /// <summary>Whether a channel of this role measures the current.</summary>
    public static bool IsSensor(ChannelRole role) =>
        role
            is ChannelRole.ReferenceShuntDrop
                or ChannelRole.UnitShuntDrop
                or ChannelRole.BankAmperes
                or ChannelRole.AuxiliaryAmperes;

    /// <summary>Whether a good reading of such a channel says that no current flows.</summary>
    public static bool Says(RunPlan plan, Reading reading) =>
        Math.Abs(reading.Value) < Threshold(plan, plan.Bench.Channels[reading.Channel]);

    /// <summary>Whether one element left on would be seen at these volts: the one of highest resistance, by every reading of the reference shunt.</summary>
    /// <remarks>An 8 Ω element at 31.2 V draws the 3.9 A that count as a current: with less at the studs, no current proves no contact open.</remarks>
    public static bool WouldShow(RunPlan plan, double volts)
    {
        var amperes = Math.Abs(volts) / plan.Bench.Bank.Elements.Max(e => e.Resistance.Value);
        var isSeen = false;
        foreach (var channel in plan.Bench.Channels)
        {
            if (channel.Role != ChannelRole.ReferenceShuntDrop)
                continue;
            isSeen = true;
            if (amperes < ReferenceAmperes(plan, Threshold(plan, channel)))
                return false;
        }
        return isSeen;
    }

    /// <summary>Amperes for a drop of the reference shunt, V, with its rated ratio.</summary>
    public static double ReferenceAmperes(RunPlan plan, double drop) =>
        drop * (plan.Bench.ReferenceShunt.RatedAmperes.Value / plan.Bench.ReferenceShunt.RatedVolts.Value);

    /// <summary>Magnitude below which a reading counts as none, in the channel's own unit.</summary>
    public static double Threshold(RunPlan plan, Channel channel)
    {
        var shunt = plan.Bench.ReferenceShunt;
        var amperes =
            channel.Role == ChannelRole.AuxiliaryAmperes
                ? LeastAuxiliary(plan)
                : Math.Min(PartOfRating * shunt.RatedAmperes.Value, PartOfElement * LeastAmperes(plan));
        var perAmpere = channel.Role switch
        {
            ChannelRole.ReferenceShuntDrop => shunt.RatedVolts.Value / shunt.RatedAmperes.Value,
            ChannelRole.UnitShuntDrop => plan.Nameplate.Shunt.RatedVolts.Value
                / plan.Nameplate.Shunt.RatedAmperes.Value,
            _ => 1,
        };
        var input = plan.Bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);
        var s = input.Specification;
        var atZero = s.OfRange * input.Range + s.Counts * input.Resolution;
        return Math.Max(amperes * perAmpere, 2 * atZero);
    }

    /// <summary>Half of what the weakest AC element draws at two thirds of the rated voltage: idle speed leaves as much.</summary>
    private static double LeastAuxiliary(RunPlan plan) =>
        plan.Bench.AuxiliaryBank is { } bank && plan.Nameplate.Auxiliary is { } output
            ? PartOfElement * 2 / 3 * output.Volts.Value / bank.Elements.Max(e => e.Resistance.Value)
            : double.PositiveInfinity;

    /// <summary>Amperes of the element of highest resistance at the lowest volts the unit gives with its output on.</summary>
    private static double LeastAmperes(RunPlan plan)
    {
        var ohms = 0.0;
        foreach (var element in plan.Bench.Bank.Elements)
            ohms = Math.Max(ohms, element.Resistance.Value);
        var volts = double.PositiveInfinity;
        foreach (var mode in plan.Nameplate.Modes)
        {
            volts = Math.Min(
                volts,
                mode.Characteristic == Characteristic.ConstantVoltage
                    ? mode.MinimumSetting.Value
                    : Math.Min(mode.LowestOpenCircuit.Value, mode.MinimumSetting.Value * ohms)
            );
        }
        return volts / ohms;
    }
}
