using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>A set of elements that meets the wish, or why none does.</summary>
/// <param name="Wanted">Resistance the wish comes to on this source.</param>
public abstract record LoadAnswer(Ohms Wanted);

/// <summary>The set to close and what it will carry.</summary>
/// <param name="Wanted">Resistance the wish comes to on this source.</param>
/// <param name="Set">Elements closed.</param>
/// <param name="Achieved">Resistance of the set in Ω, with the uncertainty of its elements.</param>
/// <param name="RelativeError">Achieved over wanted less one; positive when the set is too high.</param>
/// <param name="Volts">Predicted bank volts.</param>
/// <param name="Amperes">Predicted total amperes.</param>
/// <param name="Regulates">Whether the control, not a ceiling or limit, sets the output there.</param>
/// <param name="Loadings">Each closed element, by index.</param>
/// <param name="Order">How to get there from the present set.</param>
public sealed record LoadFound(
    Ohms Wanted,
    ElementSet Set,
    Estimate Achieved,
    double RelativeError,
    Volts Volts,
    Amperes Amperes,
    bool Regulates,
    IReadOnlyList<ElementLoading> Loadings,
    SwitchingSequence Order
) : LoadAnswer(Wanted)
{
    /// <summary>Heat in the whole bank.</summary>
    public Watts Watts => Volts * Amperes;
}

/// <summary>Nothing fits: the reason, what would help, and the nearest resistances that can be had.</summary>
/// <param name="Wanted">Resistance the wish comes to on this source.</param>
/// <param name="Reason">What stands in the way, with numbers.</param>
/// <param name="Help">What would help.</param>
/// <param name="NearestBelow">Closest resistance below the wanted one that keeps every rating, or null.</param>
/// <param name="NearestAbove">Closest resistance above the wanted one that keeps every rating, or null.</param>
public sealed record LoadNotFound(Ohms Wanted, string Reason, string Help, Ohms? NearestBelow, Ohms? NearestAbove)
    : LoadAnswer(Wanted);
