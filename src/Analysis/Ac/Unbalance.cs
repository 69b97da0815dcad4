namespace LoadTest.Analysis.Ac;

/// <summary>Voltage unbalance of three line voltages, both ways it is defined; ratios, 0.02 is 2 %.</summary>
/// <remarks>
/// The spread (max − min)/mean is neither and appears nowhere. Uncertainties by moving each voltage by its own, the larger of
/// the two moves counting (JCGM 100:2008, 5.1.3 note 2), because both figures have a corner where the three are equal.
/// </remarks>
public static class Unbalance
{
    /// <summary>Largest deviation from the mean of the three, over the mean.</summary>
    /// <param name="v12">V between lines 1 and 2, above zero.</param>
    /// <param name="v23">V between lines 2 and 3, above zero.</param>
    /// <param name="v31">V between lines 3 and 1, above zero.</param>
    /// <remarks>NEMA MG 1 as quoted in public texts. 460, 467, 450 V: 0.0196.</remarks>
    public static Estimate LargestDeviation(Estimate v12, Estimate v23, Estimate v31) =>
        Spread(v12, v23, v31, Deviation);

    /// <summary>Negative-sequence over positive-sequence voltage, from the magnitudes of the three line voltages alone.</summary>
    /// <param name="v12">V between lines 1 and 2, above zero.</param>
    /// <param name="v23">V between lines 2 and 3, above zero.</param>
    /// <param name="v31">V between lines 3 and 1, above zero.</param>
    /// <exception cref="ArgumentException">The three cannot close a triangle, so they were not read at one time.</exception>
    /// <remarks>
    /// IEC 61000-4-30 (from memory: check your copy): β = ΣV⁴/(ΣV²)², u = √[(1 − √(3 − 6β))/(1 + √(3 − 6β))], here with 1 − √ taken
    /// from the differences of the squares so that small figures keep their digits. 460, 467, 450 V: 0.02146.
    /// </remarks>
    public static Estimate NegativeSequence(Estimate v12, Estimate v23, Estimate v31)
    {
        foreach (var voltage in new[] { v12, v23, v31 })
        {
            Given.Estimate("Line voltage", voltage, "V");
            Given.Positive("Line voltage", voltage.Value, "V");
        }

        var longest = Math.Max(v12.Value, Math.Max(v23.Value, v31.Value));
        var rest = v12.Value + v23.Value + v31.Value - longest;
        return longest > rest
            ? throw new ArgumentException(
                $"Line voltages {Figures.Of(v12.Value, 6)}, {Figures.Of(v23.Value, 6)} and {Figures.With(v31.Value, "V")} cannot stand at one time: the largest is "
                    + "more than the other two together. Read them again, close together in time."
            )
            : Spread(v12, v23, v31, Sequence);
    }

    private static double Deviation(double a, double b, double c)
    {
        var mean = (a + b + c) / 3;
        return Math.Max(Math.Abs(a - mean), Math.Max(Math.Abs(b - mean), Math.Abs(c - mean))) / mean;
    }

    private static double Sequence(double a, double b, double c)
    {
        var (x, y, z) = (a * a, b * b, c * c);
        var sum = x + y + z;
        // 1 − (3 − 6β) = 2·Σ(differences)²/Σ²: the same, without taking equals from equals.
        var away = 2 * ((x - y) * (x - y) + (y - z) * (y - z) + (z - x) * (z - x)) / (sum * sum);
        var root = Math.Sqrt(Math.Max(0, 1 - away));
        return Math.Sqrt(away) / (1 + root);
    }

    private static Estimate Spread(
        Estimate v12,
        Estimate v23,
        Estimate v31,
        Func<double, double, double, double> figure
    )
    {
        Estimate[] inputs = [v12, v23, v31];
        foreach (var voltage in inputs)
        {
            Given.Estimate("Line voltage", voltage, "V");
            Given.Positive("Line voltage", voltage.Value, "V");
        }

        var value = figure(v12.Value, v23.Value, v31.Value);
        var parts = new (Estimate Input, double Sensitivity)[3];
        for (var k = 0; k < 3; k++)
        {
            var u = inputs[k].StandardUncertainty;
            parts[k] = (inputs[k], u == 0 ? 0 : Math.Max(Moved(u), Moved(-u)) / u);
            double Moved(double by) =>
                Math.Abs(
                    figure(v12.Value + (k == 0 ? by : 0), v23.Value + (k == 1 ? by : 0), v31.Value + (k == 2 ? by : 0))
                        - value
                );
        }

        return Combined.Of(value, parts);
    }
}
