using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>How far a set may be from the wanted resistance: relative, or a part of the smallest step, whichever is more.</summary>
/// <param name="Relative">Relative half-width on the resistance; 0.002 is ± 0.2 %. From zero to below one.</param>
/// <param name="PartOfSmallestElement">Part of the smallest usable element's conductance, from zero to one.</param>
public readonly record struct ResistanceTolerance(double Relative, double PartOfSmallestElement)
{
    /// <summary>± 0.2 % or half the smallest element, whichever is more.</summary>
    public static ResistanceTolerance House => new(0.002, 0.5);

    /// <summary>Conductances, S, that lie within the tolerance.</summary>
    /// <remarks>0.1 Ω, smallest element 1 Ω: 10 S ± 0.5 S, because half a step is more than 0.2 %.</remarks>
    internal (double Low, double High) Window(Ohms wanted, double smallestSiemens)
    {
        if (!(Relative is >= 0 and < 1) || !(PartOfSmallestElement is >= 0 and <= 1))
        {
            throw new ArgumentException(
                $"The resistance tolerance is {Figures.Of(Relative, 6)} of the value and {Figures.Of(PartOfSmallestElement, 6)} of the smallest "
                    + "element. The first has to be from 0 to below 1, the second from 0 to 1."
            );
        }

        var target = 1 / wanted.Value;
        var step = PartOfSmallestElement * smallestSiemens;
        var low = Math.Min(target / (1 + Relative), target - step);
        var high = Math.Max(target / (1 - Relative), target + step);
        // A set exactly on the edge counts, whatever the last bits of its sum are.
        return (low * (1 - Math.CopySign(RatingCheck.Slack, low)), high * (1 + RatingCheck.Slack));
    }
}
