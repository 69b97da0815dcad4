namespace LoadTest.Simulator;

/// <summary>The unit's characteristics.</summary>
public enum SourceMode
{
    /// <summary>The control sets amperes, the load sets volts.</summary>
    ConstantCurrent,

    /// <summary>The control sets volts, the load sets amperes.</summary>
    ConstantVoltage,

    /// <summary>A straight line from open-circuit volts through the load line; nothing is regulated.</summary>
    Drooping,
}
