using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Ports;

/// <summary>An analogue output that sets the unit's control.</summary>
public interface IRemoteSetter
{
    /// <summary>Id of its instrument and its own name.</summary>
    string Name { get; }

    /// <summary>Unit of its value.</summary>
    Unit Unit { get; }

    /// <summary>Least value, where it rests.</summary>
    double Least { get; }

    /// <summary>Largest value it is ever set to.</summary>
    double Most { get; }

    /// <summary>Sets it once and reads back what it gives; ok when both agree within its definition's bounds.</summary>
    /// <param name="value">From least to most; setting the least needs no permit.</param>
    /// <param name="permit">Checked inside the line's write gate.</param>
    /// <param name="cancel">Gives up waiting.</param>
    Task<CommandResult> SetAsync(double value, EnergisePermit permit, CancellationToken cancel);
}
