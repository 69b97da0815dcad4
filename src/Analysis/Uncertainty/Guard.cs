namespace LoadTest.Analysis.Uncertainty;

/// <summary>Refusals with the name of the line, what was found and what is allowed.</summary>
internal static class Guard
{
    public static double Finite(double value, string name, string what) =>
        Given.IsNumber(value)
            ? value
            : throw new ArgumentException(
                $"{name}: the {what} is {value}; it must be finite. A missing reading stays missing and never reaches arithmetic.",
                nameof(value)
            );

    public static double NotNegative(double value, string name, string what) =>
        Given.IsNumber(value) && value >= 0
            ? value
            : throw new ArgumentException(
                $"{name}: the {what} is {value}; it must be finite and zero or more.",
                nameof(value)
            );

    public static double Positive(double value, string name, string what) =>
        Given.IsNumber(value) && value > 0
            ? value
            : throw new ArgumentException(
                $"{name}: the {what} is {value}; it must be finite and above zero.",
                nameof(value)
            );

    public static double Degrees(double value, string name) =>
        value > 0
            ? value
            : throw new ArgumentException(
                $"{name}: {value} degrees of freedom; they must be above zero, infinity when u is exactly known.",
                nameof(value)
            );

    public static double Probability(double value, string name) =>
        value is > 0 and < 1
            ? value
            : throw new ArgumentException(
                $"{name}: the probability is {value}; it must lie between 0 and 1, both excluded.",
                nameof(value)
            );

    public static void Require(bool condition, string message)
    {
        if (!condition)
            throw new ArgumentException(message, nameof(condition));
    }

    public static void Sane(Estimate estimate, string name)
    {
        Finite(estimate.Value, name, "value");
        NotNegative(estimate.StandardUncertainty, name, "standard uncertainty");
        Degrees(estimate.DegreesOfFreedom, name);
    }
}
