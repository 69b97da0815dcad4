namespace LoadTest.Analysis.Regression;

/// <summary>Refuses data no fit can answer for, in words a person can act on.</summary>
internal static class FitInput
{
    /// <summary>Largest ratio of weights accepted: beyond it, a double no longer holds the smaller point's share.</summary>
    public const double WidestWeightRatio = 1e12;

    public static void RequireFinite(ReadOnlySpan<double> values, string name)
    {
        for (var i = 0; i < values.Length; i++)
        {
            if (!Given.IsNumber(values[i]))
            {
                throw new ArgumentException(
                    $"{name}: value {i + 1} of {values.Length} is {values[i]}. Leave a missing or overloaded reading out before fitting.",
                    name
                );
            }
        }
    }

    public static void RequireSameLength(int expected, int found, string name)
    {
        if (expected != found)
        {
            throw new ArgumentException($"{name}: {found} values were given where {expected} are needed.", name);
        }
    }

    public static void RequireCount(int found, int needed, string what)
    {
        if (found < needed)
        {
            throw new ArgumentException(
                $"{what} needs at least {needed} points; {found} {(found == 1 ? "was" : "were")} given. Measure more points.",
                nameof(found)
            );
        }
    }

    /// <summary>Weights must be finite, above zero, and within a ratio of 10¹² of one another.</summary>
    public static void RequireWeights(ReadOnlySpan<double> weights, int count, string name)
    {
        RequireSameLength(count, weights.Length, name);
        RequireFinite(weights, name);
        var (least, most) = (double.PositiveInfinity, 0.0);
        foreach (var weight in weights)
        {
            if (weight <= 0)
            {
                throw new ArgumentException(
                    $"{name}: a weight of {Figures.Of(weight, 6)} was given; weights must be above 0.",
                    name
                );
            }

            least = Math.Min(least, weight);
            most = Math.Max(most, weight);
        }

        if (most > least * WidestWeightRatio)
        {
            throw new ArgumentException(
                $"{name}: weights from {Figures.Of(least, 4)} to {Figures.Of(most, 4)} differ by more than {Figures.Of(WidestWeightRatio, 1)}. Check the units of the uncertainties.",
                name
            );
        }
    }

    /// <summary>Uncertainties must be finite, above zero, and within a ratio of 10⁶ of one another: weights go by their squares.</summary>
    public static void RequireUncertainties(ReadOnlySpan<double> uncertainties, int count, string name)
    {
        RequireSameLength(count, uncertainties.Length, name);
        RequireFinite(uncertainties, name);
        var (least, most) = (double.PositiveInfinity, 0.0);
        foreach (var uncertainty in uncertainties)
        {
            least = Math.Min(least, uncertainty);
            most = Math.Max(most, uncertainty);
            if (uncertainty <= 0)
            {
                throw new ArgumentException(
                    $"{name}: a standard uncertainty of {Figures.Of(uncertainty, 6)} was given; it must be above 0.",
                    name
                );
            }
        }

        if (most > least * Math.Sqrt(WidestWeightRatio))
        {
            throw new ArgumentException(
                $"{name}: uncertainties from {Figures.Of(least, 4)} to {Figures.Of(most, 4)} differ by more than {Figures.Of(Math.Sqrt(WidestWeightRatio), 1)}. Check their units.",
                name
            );
        }
    }
}
