namespace LoadTest.Analysis.Uncertainty;

/// <summary>One part of a meter's limit of error, in the meter's unit.</summary>
/// <param name="Component">What it comes from.</param>
/// <param name="Name">The same in words, with the figures behind it.</param>
/// <param name="HalfWidth">Half-width, zero or more.</param>
public readonly record struct MeterUncertaintyPart(Component Component, string Name, double HalfWidth);

/// <summary>What a meter's specification says about one indication.</summary>
/// <param name="Specification">The specification asked.</param>
/// <param name="Indication">The indication asked about.</param>
/// <param name="HalfWidth">Limit of error, sum of the parts, in the meter's unit.</param>
/// <param name="StandardUncertainty">u, or null when the specification does not cover the conditions.</param>
/// <param name="Parts">The parts that are not zero.</param>
/// <param name="Findings">What was assumed, or why there is no answer.</param>
public sealed record MeterUncertainty(
    MeterSpecification Specification,
    double Indication,
    double HalfWidth,
    double? StandardUncertainty,
    IReadOnlyList<MeterUncertaintyPart> Parts,
    IReadOnlyList<string> Findings
)
{
    /// <summary>The budget line of this indication's specification.</summary>
    /// <param name="name">Line of the budget.</param>
    /// <exception cref="InvalidOperationException">The specification does not cover the conditions.</exception>
    public UncertaintyInput ToInput(string name)
    {
        if (StandardUncertainty is null)
            throw new InvalidOperationException($"{name}: {string.Join(' ', Findings)}");
        var input =
            Specification.Distribution == Distribution.Normal
                ? UncertaintyInput.FromExpanded(name, Indication, HalfWidth, Specification.CoverageFactor)
                : UncertaintyInput.FromHalfWidth(name, Indication, HalfWidth, Specification.Distribution);
        return input with { Component = Component.Specification, Instrument = Specification.Meter };
    }
}
