using System.Collections.Immutable;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Gating;

/// <summary>What one instrument said at the gate.</summary>
/// <param name="InstrumentId">Id on the bench.</param>
/// <param name="Identity">Who it says it is.</param>
/// <param name="Configured">Whether its settings were made, read back, and its error queue found empty; null when not tried, because it is not the right instrument.</param>
public sealed record InstrumentSnapshot(string InstrumentId, IdentityReply Identity, CommandResult? Configured);

/// <summary>What one channel read with the engine stopped.</summary>
/// <param name="Channel">Index into the bench's channels.</param>
/// <param name="Indication">The indication.</param>
public readonly record struct ChannelSnapshot(int Channel, Indication Indication);

/// <summary>The bench as it was found at the gate, engine stopped: everything the static checks look at.</summary>
/// <param name="Instruments">Each instrument of the bench.</param>
/// <param name="Off">States of the bank after all-off was sent.</param>
/// <param name="FanOn">How the command to run the fan ended.</param>
/// <param name="WithFan">States of the bank with the fan told to run.</param>
/// <param name="Channels">Every channel, read once.</param>
/// <param name="FreeBytes">Free space where the journal goes.</param>
/// <param name="PortsBusy">Lines that another program holds, in words naming it.</param>
public sealed record BenchSnapshot(
    ImmutableArray<InstrumentSnapshot> Instruments,
    LoadStates Off,
    CommandResult FanOn,
    LoadStates WithFan,
    ImmutableArray<ChannelSnapshot> Channels,
    long FreeBytes,
    ImmutableArray<string> PortsBusy
)
{
    /// <summary>The output-enable relay after it was opened; null where the bench has none.</summary>
    public RelayState? Output { get; init; }
}
