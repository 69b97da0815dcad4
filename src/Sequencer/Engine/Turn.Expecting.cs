using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Gating;
using LoadTest.Sequencer.Journal;

namespace LoadTest.Sequencer.Engine;

/// <content>Expectations: volts, amperes or their absence, seen several times in a row or given up.</content>
internal sealed partial class Turn
{
    /// <summary>Longest wait for volts, amperes or their absence before the run gives up.</summary>
    private static readonly TimeSpan ExpectWithin = TimeSpan.FromSeconds(15);

    /// <summary>Readings inside the band, in a row, that settle an expectation.</summary>
    private const int ExpectInARow = 5;

    /// <summary>Counts readings that are as expected, in a row; the act ends with enough of them.</summary>
    private void OnExpectedReading(Reading reading)
    {
        var role = Channel(reading.Channel).Role;
        bool? isAsExpected = CurrentAct switch
        {
            ExpectVoltsAct volts when role == ChannelRole.StudVolts => volts.Allowed.Contains(reading.Value),
            ExpectAmperesAct amperes when role == ChannelRole.ReferenceShuntDrop => amperes.Allowed.Contains(
                ReferenceAmperes(reading.Value)
            ) && DoesBankAgree(ReferenceAmperes(reading.Value)),
            AwaitNoCurrentAct when role == ChannelRole.ReferenceShuntDrop => FactsSince(Progress.Since).IsCurrentGone,
            _ => null,
        };
        if (isAsExpected is not { } yes)
            return;
        Progress = Progress with { Tries = yes ? Progress.Tries + 1 : 0 };
        if (Progress.Tries >= ExpectInARow)
            NextAct("");
    }

    private void GiveUpExpecting()
    {
        var seconds = ExpectWithin.TotalSeconds;
        switch (CurrentAct)
        {
            case ExpectVoltsAct volts:
                var v = LastValue(ChannelRole.StudVolts);
                Remove(
                    new RemovalCause(
                        "VOLTS",
                        $"Volts at the studs read {v:0.##} V after {seconds} s; {volts.Allowed.Lower:0.##} V to {volts.Allowed.Upper:0.##} V were expected with the bank open."
                    ),
                    AtTheGate
                );
                break;
            case ExpectAmperesAct amperes:
                var a = ReferenceAmperes(LastValue(ChannelRole.ReferenceShuntDrop));
                var bank = LastValue(ChannelRole.BankAmperes);
                Remove(
                    new RemovalCause(
                        "PLAUSIBILITY",
                        $"The proving load drew {a:0.##} A by the reference shunt and {bank:0.##} A by the bank after {seconds} s; {amperes.Allowed.Lower:0.##} A to {amperes.Allowed.Upper:0.##} A by both were expected."
                    ),
                    AtTheGate
                );
                break;
            default:
                Remove(
                    new RemovalCause(
                        "MISMATCH",
                        $"The load should be off, but after {seconds} s contacts and current do not both say so: {OffWords.Of(FactsSince(Progress.Since))}."
                    ),
                    Outcome.Failed
                );
                break;
        }
    }

    /// <summary>Before the second half of the gate is passed it refuses; later the run is ended.</summary>
    private Outcome AtTheGate => State.IsGatePassed ? Outcome.Tripped : Outcome.Refused;

    private bool IsGateValid()
    {
        var age = now - State.GateFrom;
        if (State.IsGatePassed || age <= Gate.ValidFor)
            return true;
        Remove(
            new RemovalCause(
                "GATE",
                $"The first half of the gate was passed {age.TotalMinutes:0.#} min ago; it holds for {Gate.ValidFor.TotalMinutes:0.#} min. Begin again with the bench as it is now."
            ),
            Outcome.Refused
        );
        return false;
    }

    private double ReferenceAmperes(double drop) => NoCurrent.ReferenceAmperes(plan, drop);

    /// <summary>Whether the bank's own sensor agrees with the reference shunt within 10 % and 3 A.</summary>
    private bool DoesBankAgree(double amperes) =>
        !plan.Bench.Channels.Any(c => c.Role == ChannelRole.BankAmperes)
        || Math.Abs(LastValue(ChannelRole.BankAmperes) - amperes) <= 0.1 * Math.Abs(amperes) + 3;

    /// <summary>The last good reading in a role; no number before the first, which nothing agrees with.</summary>
    private double LastValue(ChannelRole role) => LastGood(role)?.Value ?? double.NaN;
}
