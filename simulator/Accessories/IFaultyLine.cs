using LoadTest.Simulator.Lines;

namespace LoadTest.Simulator.Accessories;

/// <summary>A device whose answers can be disturbed.</summary>
internal interface IFaultyLine
{
    string Name { get; }

    LineFaults Faults { get; }

    Action<bool>? Plugged { get; }
}
