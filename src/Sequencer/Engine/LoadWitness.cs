using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;

namespace LoadTest.Sequencer.Engine;

/// <summary>What one reading says about the load.</summary>
internal static class LoadWitness
{
    /// <summary>Whether a channel of this role tells anything about the load: currents, and the volts at the studs.</summary>
    public static bool Tells(ChannelRole role) => NoCurrent.IsSensor(role) || role == ChannelRole.StudVolts;

    /// <summary>A good reading as a fact.</summary>
    /// <param name="plan">The plan, for shunts and elements.</param>
    /// <param name="reading">The reading.</param>
    /// <param name="sameSince">When the first reading with its digits was made.</param>
    /// <param name="isProved">Whether the channel has shown a current before; the unit's own shunt counts only then.</param>
    /// <param name="isStuck">Whether its digits had to change and have not: then it speaks for nothing.</param>
    public static OffReading Of(RunPlan plan, Reading reading, TimeSpan sameSince, bool isProved, bool isStuck)
    {
        var role = plan.Bench.Channels[reading.Channel].Role;
        var sign =
            role == ChannelRole.StudVolts
                ? !isStuck && NoCurrent.WouldShow(plan, reading.Value)
                    ? OffSign.Live
                    : OffSign.NotLive
                : !NoCurrent.Says(plan, reading)
                    ? OffSign.Current
                    : !isStuck
                    && (role == ChannelRole.ReferenceShuntDrop || (role == ChannelRole.UnitShuntDrop && isProved))
                        ? OffSign.NoCurrent
                        : OffSign.Unproved;
        return new OffReading(reading.Channel, role, Value(plan, role, reading.Value), sign, reading.At, sameSince);
    }

    private static double Value(RunPlan plan, ChannelRole role, double value) =>
        role switch
        {
            ChannelRole.ReferenceShuntDrop => NoCurrent.ReferenceAmperes(plan, value),
            ChannelRole.UnitShuntDrop => value
                * (plan.Nameplate.Shunt.RatedAmperes.Value / plan.Nameplate.Shunt.RatedVolts.Value),
            _ => value,
        };
}
