using LoadTest.Sequencer.Engine;

namespace LoadTest.Sequencer.Ports;

/// <summary>A relay that lets the unit give output while it is closed.</summary>
public interface IOutputEnable
{
    /// <summary>Id of its instrument and its own name.</summary>
    string Name { get; }

    /// <summary>Closes or opens it with one write; never repeated by itself.</summary>
    /// <param name="isOn">Closed. Opening needs no permit.</param>
    /// <param name="permit">Checked inside the line's write gate.</param>
    /// <param name="cancel">Gives up waiting.</param>
    Task<CommandResult> SwitchAsync(bool isOn, EnergisePermit permit, CancellationToken cancel);

    /// <summary>Reads whether its contact is really closed.</summary>
    Task<RelayState> ReadAsync(CancellationToken cancel);

    /// <summary>Sends "open": synchronous, from any thread, no token, never throws; proves nothing.</summary>
    void Open();
}

/// <summary>What a relay's contact says.</summary>
/// <param name="Result">Ok when it was read; otherwise nothing else here counts.</param>
/// <param name="IsClosed">Whether it is closed.</param>
/// <param name="Timestamp">Pump timestamp of the reply's last byte.</param>
public readonly record struct RelayState(CommandResult Result, bool IsClosed, long Timestamp);
