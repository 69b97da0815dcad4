using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>How to get from one set to another one element at a time, or why that cannot be done under load.</summary>
public abstract record SwitchingPlan
{
    private protected SwitchingPlan() { }
}

/// <summary>Single operations in order; no element exceeds its rating in any state passed through.</summary>
/// <param name="Operations">In order; empty when the bank is already there.</param>
public sealed record SwitchingSequence(IReadOnlyList<SwitchingOperation> Operations) : SwitchingPlan;

/// <summary>No order of single operations keeps every element within its rating.</summary>
/// <param name="Reason">What exceeds what, with numbers.</param>
/// <param name="Help">What to do instead.</param>
public sealed record NoSwitchingSequence(string Reason, string Help) : SwitchingPlan;

/// <summary>One element closed or opened, and the state of the bank right after.</summary>
/// <param name="Index">Index of the element in the bank.</param>
/// <param name="Id">Its name.</param>
/// <param name="Closes">True to close it, false to open it.</param>
/// <param name="After">Elements closed afterwards.</param>
/// <param name="VoltsAfter">Predicted bank volts afterwards.</param>
/// <param name="AmperesAfter">Predicted total amperes afterwards.</param>
public sealed record SwitchingOperation(
    int Index,
    string Id,
    bool Closes,
    ElementSet After,
    Volts VoltsAfter,
    Amperes AmperesAfter
);
