using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis;

/// <summary>Results and their risks as people read them, written in one way wherever they stand.</summary>
public static class Stated
{
    private const double AmpleRatio = 10;
    private const double SmallestChance = 0.001;

    /// <summary>A value with its expanded uncertainty and unit: <c>(12.34 ± 0.05) V</c>.</summary>
    /// <param name="value">The value.</param>
    /// <param name="expanded">U, same unit; two significant digits of it are shown, and the value to the same place (JCGM 100:2008, 7.2.6).</param>
    /// <param name="symbol">Symbol of the unit; empty for a plain number, which needs no brackets.</param>
    /// <param name="factor">From the unit of the value to the one shown.</param>
    /// <remarks>The brackets carry the unit over both numbers, as the SI brochure, 9th edition, 5.4.5 and 5.4.6, asks. 149.9388 V
    /// with U = 0.1552 V is <c>(149.94 ± 0.16) V</c>.</remarks>
    public static string WithUncertainty(double value, double expanded, string symbol, double factor = 1)
    {
        ArgumentNullException.ThrowIfNull(symbol);
        Guard.Finite(value, "A result", "value");
        Guard.NotNegative(expanded, "A result", "expanded uncertainty");
        Guard.Positive(factor, "A result", "factor between units");
        var grain = expanded * factor;
        var numbers = $"{Figures.To(value * factor, grain)} ± {(expanded == 0 ? "0" : Figures.To(grain, grain))}";
        return symbol.Length == 0 ? numbers : $"({numbers}) {symbol}";
    }

    /// <summary>A test uncertainty ratio; beyond 10:1 nobody asks how far.</summary>
    /// <remarks>4.04 is <c>4.0:1</c>, 861 is <c>&gt; 10:1</c>.</remarks>
    public static string Ratio(double ratio) =>
        ratio > AmpleRatio
            ? "> 10:1"
            : $"{Figures.To(Guard.NotNegative(ratio, "A test", "uncertainty ratio"), ratio)}:1";

    /// <summary>A probability in percent, two digits; what is nearer to none or to certain than 0.1 % is called so.</summary>
    /// <remarks>0.0254 is <c>2.5 %</c>, 0.0000001 is <c>below 0.1 %</c>, 0.99997 is <c>above 99.9 %</c>.</remarks>
    public static string Chance(double chance) =>
        Guard.NotNegative(chance, "A result", "probability") < SmallestChance ? "below 0.1 %"
        : chance > 1 - SmallestChance ? "above 99.9 %"
        : $"{(chance > 0.99 ? Figures.Of(chance * 100, 3) : Figures.Of(chance * 100))} %";
}
