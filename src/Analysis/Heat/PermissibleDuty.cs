using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Heat;

/// <summary>Duty cycle at a current the nameplate does not give: an estimate, with what it rests on said.</summary>
/// <param name="Part">Duty cycle, 0 to 1.</param>
/// <param name="Exponent">Exponent of the current it was estimated with; 2 when heat follows its square.</param>
/// <param name="Words">What it rests on and where it ends.</param>
/// <remarks>
/// X₂ = X₁·(I₁/I₂)²: equal mean heat in a resistance, common practice. Between two nameplate points the exponent is the one that
/// joins them. It leaves out losses that do not grow with current, and says nothing above the highest rated current.
/// Worked: 60 % at 300 A: 86.4 % at 250 A.
/// </remarks>
public sealed record PermissibleDuty(double Part, double Exponent, string Words)
{
    /// <summary>Estimates the duty cycle at a current from the nameplate's points.</summary>
    /// <param name="nameplate">At least one point; more current never with more duty.</param>
    /// <param name="current">Current asked about, above zero and not above the highest rated one.</param>
    /// <exception cref="ArgumentException">The current is above the nameplate's, or its points contradict one another.</exception>
    public static PermissibleDuty At(IReadOnlyList<RatedDuty> nameplate, Amperes current)
    {
        ArgumentNullException.ThrowIfNull(nameplate);
        Given.Positive("Current", current.Value, "A");
        var points = nameplate.OrderBy(p => p.Current).ToArray();
        Check(points);
        var highest = points[^1];
        if (current > highest.Current)
        {
            throw new ArgumentException(
                $"{current} is above {highest.Current}, the most the nameplate rates. No duty cycle is estimated there."
            );
        }

        var above = points.First(p => p.Current >= current);
        var below = points.LastOrDefault(p => p.Current <= current);
        if (below.Part > 0 && below.Current < above.Current && below.Part > above.Part)
        {
            var exponent = Math.Log(below.Part / above.Part) / Math.Log(above.Current / below.Current);
            return Estimated(above, current, exponent, $"between {below.Part:P0} at {below.Current} and ");
        }

        // On or below the lowest point, or between equal ones: the square, but no more than the point below allows.
        var squared = Estimated(above, current, 2, "");
        return below.Part > 0 && squared.Part > below.Part
            ? new PermissibleDuty(
                below.Part,
                2,
                $"Estimate: {below.Part:P1} at {current}, no more than at {below.Current}; the nameplate decides."
            )
            : squared;
    }

    private static PermissibleDuty Estimated(RatedDuty from, Amperes current, double exponent, string between)
    {
        var part = Math.Min(1, from.Part * Math.Pow(from.Current / current, exponent));
        return new PermissibleDuty(
            part,
            exponent,
            $"Estimate: {part:P1} at {current}, {between}{from.Part:P0} at {from.Current}, heat as the current to the power "
                + $"{Figures.Of(exponent, 3)}. Losses that do not grow with current are left out; the nameplate decides."
        );
    }

    private static void Check(RatedDuty[] points)
    {
        if (points.Length == 0)
        {
            throw new ArgumentException("No rated duty cycle was given. Take at least one from the nameplate.");
        }

        for (var k = 0; k < points.Length; k++)
        {
            Given.Positive("Rated current", points[k].Current.Value, "A");
            if (!(points[k].Part is > 0 and <= 1))
            {
                throw new ArgumentException(
                    $"A duty cycle of {Figures.Of(points[k].Part, 4)} at {points[k].Current} was given; it has to be above 0 and at most 1."
                );
            }

            if (k > 0 && points[k].Part > points[k - 1].Part)
            {
                throw new ArgumentException(
                    $"The nameplate gives {points[k].Part:P0} at {points[k].Current} but {points[k - 1].Part:P0} at "
                        + $"{points[k - 1].Current}: more current with more duty. Check the points."
                );
            }
        }
    }
}
