using System.Collections.Immutable;
using LoadTest.Instruments.Devices;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Probing;

/// <summary>What was found out about one instrument.</summary>
/// <param name="Probed">The instrument.</param>
/// <param name="Identity">Who it says it is; null when nobody was asked.</param>
/// <param name="Inspected">Its settings, flags, relays, setter.</param>
/// <param name="Readings">Every input, in the order of the definition.</param>
/// <param name="States">Its elements; null when it switches none.</param>
internal sealed record ProbeResult(
    ProbedInstrument Probed,
    IdentityReply? Identity,
    ImmutableArray<Inspected> Inspected,
    ImmutableArray<Indication> Readings,
    LoadStates? States
)
{
    /// <summary>Whether it is who the bench file says.</summary>
    public bool IsIdentified => Identity is { Result.Outcome: CommandOutcome.Ok };

    /// <summary>Whether every element it switches is proved off, by what it was told and by its contacts.</summary>
    public bool IsProvedOff =>
        States is not { } s || (s.Outcome == CommandOutcome.Ok && s.Commanded.IsEmpty && s.Contacts.IsEmpty);

    /// <summary>Everything somebody has to see to.</summary>
    public IEnumerable<string> Troubles()
    {
        if (Probed.Trouble.Length > 0)
            yield return Probed.Trouble;
        if (Identity is { Result: { Outcome: not CommandOutcome.Ok } refused })
            yield return refused.Detail;
        foreach (var one in Inspected.Where(i => i.State is InspectedState.Wrong or InspectedState.Unread))
            yield return $"{Probed.Id}: {one.What}: {one.Detail}";
        for (var k = 0; k < Readings.Length; k++)
        {
            if (Readings[k].Flag is IndicationFlag.Missing or IndicationFlag.NotANumber)
                yield return $"{Probed.Id}: {Probed.Instrument.Definition.Inputs[k].Name} gave no number. {Probed.Connected?.Link.LastTrouble}".TrimEnd();
        }
        if (States is { Outcome: CommandOutcome.Ok } states && !IsProvedOff)
            yield return $"{Probed.Id}: ELEMENTS ARE ON: commanded {states.Commanded}, closed {states.Contacts}. Nothing was switched by this look. Switch the weld output off, stop the engine with its own switch, stay clear; then find out why.";
        else if (!IsProvedOff)
            yield return $"{Probed.Id}: its elements could not be read, so nothing here says that they are off: {States!.Value.Detail}";
    }
}
