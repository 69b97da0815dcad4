namespace LoadTest.Sequencer.Engine;

/// <summary>Why the load was removed.</summary>
/// <param name="Code">Short code in capitals: VOLTS, AMPERES, CONDUCTANCE, SOURCE, POLARITY, PLAUSIBILITY, SILENT, FROZEN, DISAGREE, OVERLOAD, NAN, LINK, MISMATCH, STUCK, STEP, FAN, TEMP, AUXILIARY, ESTOP, GATE, WATCHDOG, LATE, SUSPEND, UNATTENDED, STOP, DECLINED, OPERATOR, SIGNAL, DISK, CRASH, ERROR.</param>
/// <param name="Detail">In words, with the reading and the limit.</param>
public sealed record RemovalCause(string Code, string Detail);

/// <summary>Leave to energise, given for one run and one epoch of it; worthless once the load is removed.</summary>
/// <param name="Removal">Who gave it and is asked again inside the write gate.</param>
/// <param name="RunId">The run it was given for.</param>
/// <param name="Epoch">The epoch it was given in.</param>
public readonly record struct EnergisePermit(LoadRemoval Removal, string RunId, int Epoch)
{
    /// <summary>Whether it still holds; called inside the write gate, from any thread.</summary>
    public bool IsValid => Removal is not null && Removal.Allows(RunId, Epoch);
}
