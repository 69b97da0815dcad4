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

    /// <summary>
    /// Whether current is gone by readings later than <paramref name="since"/>: no channel shows any, and one of another
    /// instrument than the bank shows none: the reference shunt, or the unit's own once it has shown current in this run.
    /// </summary>
    private bool IsCurrentGone(TimeSpan since)
    {
        var hasWitness = false;
        for (var k = 0; k < State.LastGood.Length; k++)
        {
            var reading = State.LastGood[k];
            var role = Channel(k).Role;
            if (!NoCurrent.IsSensor(role) || reading.Flag != IndicationFlag.Good || reading.At <= since)
                continue;
            if (!NoCurrent.Says(plan, reading))
                return false;
            hasWitness |=
                role == ChannelRole.ReferenceShuntDrop
                || (role == ChannelRole.UnitShuntDrop && (State.ShownCurrent & (1u << k)) != 0);
        }
        return hasWitness;
    }

    private string OffWords()
    {
        var amperes = LastGood(ChannelRole.ReferenceShuntDrop) is { } drop
            ? $"{ReferenceAmperes(drop.Value):0.##} A by the reference shunt"
            : "no current reading";
        var volts = LastGood(ChannelRole.StudVolts) is { } v ? $"{v.Value:0.#} V at the studs" : "no voltage reading";
        var contacts = State.Removal switch
        {
            { Held: null } => "contacts not read since",
            { Held: { IsEmpty: false } held } => $"ELEMENT {held} STILL ON",
            _ => "all contacts read open",
        };
        var counts = State.Removal is { } removal ? $"{removal.AllOff.Words}, " : "";
        return $"{counts}{contacts}, {amperes}, {volts}";
    }
}
