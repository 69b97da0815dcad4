using System.Collections.Immutable;

namespace LoadTest.Instruments.Devices;

/// <summary>Looks at what an instrument was set to and says of itself, and changes nothing.</summary>
public interface IInspect
{
    /// <summary>Every setting, watchdog, error flag, relay and setter of its definition, read back.</summary>
    Task<ImmutableArray<Inspected>> InspectAsync(CancellationToken cancel);
}

/// <summary>One thing looked at.</summary>
/// <param name="What">What it is.</param>
/// <param name="Found">What was read; empty when it could not be.</param>
/// <param name="Expected">What its definition says.</param>
/// <param name="State">How the two compare.</param>
/// <param name="Detail">Words when it is not as expected.</param>
public sealed record Inspected(string What, string Found, string Expected, InspectedState State, string Detail);

/// <summary>How what was found compares with what is expected.</summary>
public enum InspectedState
{
    /// <summary>As its definition says.</summary>
    AsExpected,

    /// <summary>Otherwise, and the gate will set it.</summary>
    SetAtTheGate,

    /// <summary>Otherwise, and somebody has to see to it.</summary>
    Wrong,

    /// <summary>It could not be read.</summary>
    Unread,
}
