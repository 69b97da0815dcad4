using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <content>Whether current flows: said only when every instrument that measures one agrees.</content>
internal sealed partial class Turn
{
    /// <summary>Remembers which channels have shown a current in this run: only those prove its absence.</summary>
    private void NoteShown(Reading reading)
    {
        var bit = 1u << reading.Channel;
        if ((State.ShownCurrent & bit) != 0 || !NoCurrent.IsSensor(Channel(reading.Channel).Role))
            return;
        if (!NoCurrent.Says(plan, reading))
            State = State with { ShownCurrent = State.ShownCurrent | bit };
    }

    /// <summary>What is known of the load, told from before this moment by the time of each fact.</summary>
    private OffFacts FactsSince(TimeSpan removed)
    {
        var readings = ImmutableArray.CreateBuilder<OffReading>();
        for (var k = 0; k < State.LastGood.Length; k++)
        {
            if (State.LastGood[k] is { Flag: IndicationFlag.Good } reading && LoadWitness.Tells(Channel(k).Role))
                readings.Add(
                    LoadWitness.Of(
                        plan,
                        reading,
                        State.Same[k].Since,
                        IsShown(k),
                        IsStuck(reading, State.Same[k].Since)
                    )
                );
        }
        return new OffFacts(
            removed,
            State.Removal?.AllOff ?? default,
            State.ContactsSeen,
            readings.DrainToImmutable(),
            State.Stopped
        );
    }

    private bool IsShown(int channel) => (State.ShownCurrent & (1u << channel)) != 0;

    /// <summary>
    /// Whether a reading made since the removal stands to the digit as before it and therefore says nothing: volts, when a current was
    /// taken away from under them; a current, when its meter is why the load was removed.
    /// </summary>
    private bool IsStuck(Reading reading, TimeSpan sameSince) =>
        State.Removal is { } removal
        && reading.At > removal.Since
        && sameSince <= removal.Since
        && (
            Channel(reading.Channel).Role == ChannelRole.StudVolts
                ? removal.HadCurrent
                : State.Latched!.Code is "DISAGREE" or "FROZEN"
        );

    /// <summary>Whether any channel last showed a current.</summary>
    private bool HasCurrent =>
        State.LastGood.Any(r =>
            r.Flag == IndicationFlag.Good && NoCurrent.IsSensor(Channel(r.Channel).Role) && !NoCurrent.Says(plan, r)
        );
}
