using System.Numerics;
using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>Elements that all hang on the same two bars, so that all closed ones see the same volts.</summary>
public sealed class LoadBank
{
    private readonly LoadElement[] _elements;
    private readonly double[] _siemens;

    /// <summary>A bank of one to 32 elements, each with resistance and at least one DC rating.</summary>
    /// <param name="elements">In the order of their indices; ids unique.</param>
    /// <exception cref="ArgumentException">An element has no usable resistance or rating, or an id occurs twice.</exception>
    public LoadBank(IEnumerable<LoadElement> elements)
    {
        _elements = [.. elements];
        if (_elements.Length is 0 or > ElementSet.Capacity)
        {
            throw new ArgumentException(
                $"A bank of {_elements.Length} elements was given; 1 to {ElementSet.Capacity} are allowed.",
                nameof(elements)
            );
        }

        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var element in _elements)
        {
            if (!seen.Add(element.Id))
            {
                throw new ArgumentException(
                    $"Element {element.Id} occurs twice. Give each its own id.",
                    nameof(elements)
                );
            }

            Check(element);
        }

        _siemens = [.. _elements.Select(e => 1 / e.Resistance.Value)];
    }

    /// <summary>Elements by index.</summary>
    public IReadOnlyList<LoadElement> Elements => _elements;

    /// <summary>Every element closed.</summary>
    public ElementSet All => ElementSet.First(_elements.Length);

    /// <summary>Conductance of each element, S, by index.</summary>
    internal ReadOnlySpan<double> Siemens => _siemens;

    /// <summary>Resistance of the closed elements in parallel; positive infinity when none is closed.</summary>
    /// <remarks>1/Σ(1/R). 0.8 Ω beside 0.4 Ω: 0.26667 Ω.</remarks>
    public Ohms ResistanceOf(ElementSet set) => new(1 / SiemensOf(set));

    /// <summary>Resistance of the closed elements in Ω with uncertainty; null when none is closed.</summary>
    /// <remarks>
    /// R = 1/G, u(R) = R²·√Σ(u(R_i)/R_i²)², elements taken as independent (JCGM 100:2008, 5.1.2).
    /// Two of 1 Ω, each with u = 0.01 Ω: 0.5 Ω with u = 0.0035 Ω. Degrees of freedom by Welch–Satterthwaite (G.4).
    /// </remarks>
    public Estimate? ResistanceEstimateOf(ElementSet set)
    {
        CheckWithin(set);
        if (set.IsEmpty)
        {
            return null;
        }

        var ohms = 1 / SiemensOf(set);
        double variance = 0;
        double spread = 0;
        foreach (var index in set.Indices())
        {
            var element = _elements[index].ResistanceEstimate;
            var part = ohms * ohms / (element.Value * element.Value) * element.StandardUncertainty;
            variance += part * part;
            spread += part * part * part * part / element.DegreesOfFreedom;
        }

        var freedom = spread == 0 ? double.PositiveInfinity : variance * variance / spread;
        return new Estimate(ohms, Math.Sqrt(variance), freedom);
    }

    /// <summary>Ids of the closed elements, in the order of their indices, joined by " + ".</summary>
    public string NamesOf(ElementSet set) =>
        set.IsEmpty ? "none" : string.Join(" + ", set.Indices().Select(p => _elements[p].Id));

    /// <summary>Conductance of the closed elements, S, summed by rising index.</summary>
    internal double SiemensOf(ElementSet set)
    {
        double sum = 0;
        for (var rest = set.Mask; rest != 0; rest &= rest - 1)
        {
            sum += _siemens[BitOperations.TrailingZeroCount(rest)];
        }

        return sum;
    }

    internal void CheckWithin(ElementSet set)
    {
        if (!set.IsWithin(All))
        {
            throw new ArgumentException(
                $"The set {set} names indices beyond the {_elements.Length} elements of the bank.",
                nameof(set)
            );
        }
    }

    private static void Check(LoadElement element)
    {
        var known = element.ResistanceEstimate;
        Require(element, "resistance", known.Value, "Ω");
        Require(element, "nominal resistance", element.Nominal.Value, "Ω");
        if (
            !Given.IsNumber(known.StandardUncertainty)
            || known.StandardUncertainty < 0
            || !(known.DegreesOfFreedom > 0)
        )
        {
            throw new ArgumentException(
                $"Element {element.Id}: its tolerance or uncertainty is not a finite number from zero up."
            );
        }

        if (
            !Given.IsNumber(element.Tolerance)
            || element.Tolerance < 0
            || !Given.IsNumber(element.TemperatureCoefficientPerKelvin)
        )
        {
            throw new ArgumentException(
                $"Element {element.Id}: a tolerance of {Figures.Of(element.Tolerance, 6)} and a temperature coefficient of "
                    + $"{Figures.Of(element.TemperatureCoefficientPerKelvin, 6)}/K are given. The first has to be a number from zero up, the second a number."
            );
        }

        Require(element, "rated volts", element.RatedVolts?.Value, "V");
        Require(element, "rated amperes", element.RatedAmperes?.Value, "A");
        Require(element, "rated watts", element.RatedWatts?.Value, "W");
        Require(element, "short-time volts", element.ShortTime?.Volts.Value, "V");
        Require(element, "short time", element.ShortTime?.For.TotalSeconds, "s");
        if (double.IsPositiveInfinity(element.ContinuousVolts.Value))
        {
            throw new ArgumentException(
                $"Element {element.Id} has no DC rating. Give its rated volts, amperes or watts from the plate."
            );
        }
    }

    private static void Require(LoadElement element, string what, double? value, string unit)
    {
        if (value is { } given && (!Given.IsNumber(given) || given <= 0))
        {
            throw new ArgumentException(
                $"Element {element.Id}: {what} is {Figures.Of(given, 6)} {unit}. It has to be finite and above zero."
            );
        }
    }
}
