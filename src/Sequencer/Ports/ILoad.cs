using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;

namespace LoadTest.Sequencer.Ports;

/// <summary>A load bank whose elements the engine switches.</summary>
public interface ILoad
{
    /// <summary>Id of the instrument on the bench.</summary>
    string Name { get; }

    /// <summary>Brings exactly these elements on with one write, read back by the caller.</summary>
    /// <param name="elements">The wanted set.</param>
    /// <param name="permit">Checked inside the line's write gate, right before the first byte; a permit no longer valid fails the command unsent.</param>
    /// <param name="cancel">Gives up waiting; what was sent stays sent, and the result is unknown.</param>
    /// <returns>Ok, failed or unknown. Never repeated by itself.</returns>
    Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel);

    /// <summary>Reads which contacts are really closed, and the bank's own protection inputs.</summary>
    Task<LoadStates> ReadStatesAsync(CancellationToken cancel);

    /// <summary>Runs or stops the bank's fan; ok at once where the fan follows the bank by itself.</summary>
    Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel);

    /// <summary>Sends all-off: synchronous, from any thread, no token, never throws.</summary>
    /// <remarks>
    /// Takes the line's write gate for at most one transaction and writes a frame encoded when the adapter was made.
    /// Called on the pump while a transaction is in flight on a half-duplex line, it is sent as the very next frame,
    /// no later than that transaction's deadline. Sending it proves nothing: read the states afterwards.
    /// </remarks>
    void RemoveLoad();

    /// <summary>What became of every all-off asked for here so far; from any thread.</summary>
    AllOffCounts AllOff { get; }
}

/// <summary>What a load bank says about itself.</summary>
/// <param name="Outcome">Ok when all of it was read; otherwise nothing else here counts.</param>
/// <param name="Detail">Words when not ok.</param>
/// <param name="Commanded">Elements the bank was told to close.</param>
/// <param name="Contacts">Elements whose auxiliary contacts say closed.</param>
/// <param name="HasAirFlow">Air flows; null when the bank cannot tell.</param>
/// <param name="IsOverTemperature">Over-temperature input set; null when the bank cannot tell.</param>
/// <param name="IsStopHealthy">The hard-wired stop is not pressed; null when the bank cannot tell.</param>
/// <param name="Timestamp">Pump timestamp of the last byte of the last reply.</param>
public readonly record struct LoadStates(
    CommandOutcome Outcome,
    string Detail,
    ElementSet Commanded,
    ElementSet Contacts,
    bool? HasAirFlow,
    bool? IsOverTemperature,
    bool? IsStopHealthy,
    long Timestamp
);
