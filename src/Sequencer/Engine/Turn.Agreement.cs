using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Sequencer.Engine;

/// <content>Two instruments that read the same: both are shown, neither is averaged, and the load goes when they stay apart.</content>
internal sealed partial class Turn
{
    /// <summary>How long two instruments may stay apart in a steady state.</summary>
    private static readonly TimeSpan ApartWithin = TimeSpan.FromSeconds(1);

    /// <summary>Trips when studs and bank, or reference shunt and bank, have disagreed for a second in a state that is reached; true when it did.</summary>
    private bool CheckAgreement()
    {
        if (
            State is not { NextLimits: null, Limits: { } limits }
            || (limits.Conductance is null && CurrentAct is not JudgingAct)
        )
        {
            State = State with { VoltsApartSince = null, AmperesApartSince = null };
            return false;
        }
        var volts = TripCheck.VoltsAgree(plan.Bench, LastGood(ChannelRole.StudVolts), LastGood(ChannelRole.BankVolts));
        var amperes = TripCheck.AmperesAgree(
            plan.Bench,
            LastGood(ChannelRole.ReferenceShuntDrop),
            LastGood(ChannelRole.BankAmperes)
        );
        State = State with
        {
            VoltsApartSince = volts is null ? null : State.VoltsApartSince ?? now,
            AmperesApartSince = amperes is null ? null : State.AmperesApartSince ?? now,
        };
        var cause =
            now - State.VoltsApartSince >= ApartWithin ? volts
            : now - State.AmperesApartSince >= ApartWithin ? amperes
            : null;
        if (cause is not null)
            Remove(cause, Outcome.Tripped);
        return cause is not null;
    }
}
