using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Correction of a reference shunt at a current, interpolated between its certificate's points.</summary>
internal static class ShuntCorrection
{
    // A set current a little beyond the outermost certified points still belongs to them: 299.9 A is the point at 300 A.
    private const double BeyondHighest = 1.02;
    private const double BelowLowest = 0.98;

    /// <summary>Find the factor on the rated ratio; adds the certificate's budget lines.</summary>
    /// <returns>False when the certificate does not reach the current.</returns>
    public static bool TryFind(
        ReferenceShunt shunt,
        double amperes,
        List<UncertaintyInput> lines,
        List<string> findings,
        out double factor
    )
    {
        factor = 1;
        if (shunt.Certificate.Count == 0)
            return ByClass(shunt, lines, findings);
        var points = Sorted(shunt);
        var at = Math.Abs(amperes);
        var highest = points[^1];
        if (at > highest.Amperes * BeyondHighest)
        {
            findings.Add(
                $"{shunt.Name}: {Figures.With(at, "A", 4)} is above the highest certified point, {Figures.With(highest.Amperes, "A", 4)}. Use a shunt certified to this current or have this one calibrated there."
            );
            return false;
        }
        if (at < points[0].Amperes * BelowLowest && at > 0)
            findings.Add(
                $"{shunt.Name}: {Figures.With(at, "A", 4)} is below the lowest certified point, {Figures.With(points[0].Amperes, "A", 4)}; its correction was used unchanged, at the cost of U times the distance (house rule)."
            );
        var (correction, expanded, between, nearest) = Interpolate(points, at);
        factor = 1 + correction;
        var u = expanded / nearest.CoverageFactor;
        lines.Add(
            UncertaintyInput.FromExpanded(
                $"{shunt.Name}: certificate",
                value: 0,
                u * nearest.CoverageFactor,
                nearest.CoverageFactor,
                nearest.DegreesOfFreedom
            ) with
            {
                Component = Component.Certificate,
                Instrument = shunt.Name,
                SharedBy = shunt.Name,
            }
        );
        shunt.Add(lines, "between certificate points", Component.Interpolation, between);
        shunt.Add(lines, "below the lowest certified point", Component.Extrapolation, Below(points[0], at));
        return true;
    }

    /// <summary>Cost of a current below the lowest certified point: U·(lowest/at − 1), a half-width relative to the current.</summary>
    /// <remarks>An error that is constant in volts, as large as U there, grows so on the way down; house rule, no source. U = 0.03 % at 100 A
    /// costs 0.019 % at 61 A. Near zero it stays the same in amperes.</remarks>
    private static double Below(ShuntCertificatePoint lowest, double at) =>
        at < lowest.Amperes * BelowLowest
            ? lowest.ExpandedRelative * (lowest.Amperes / Math.Max(at, lowest.Amperes * 1e-3) - 1)
            : 0;

    private static bool ByClass(ReferenceShunt shunt, List<UncertaintyInput> lines, List<string> findings)
    {
        if (shunt.Rating.ClassIndex is not { } index)
        {
            findings.Add(
                $"{shunt.Name}: neither a certificate nor a class index, so its ratio is not known. Enter its certificate."
            );
            return false;
        }
        findings.Add(
            $"{shunt.Name}: no certificate; its class index {Figures.Of(index, 3)} % was taken as limits of its ratio."
        );
        shunt.Add(lines, $"class {Figures.Of(index, 3)} limits", Component.ClassLimit, index / 100);
        return true;
    }

    /// <summary>Linear interpolation; the points of one certificate share their errors, so U is interpolated as well.</summary>
    private static (double Correction, double Expanded, double Between, ShuntCertificatePoint Nearest) Interpolate(
        ShuntCertificatePoint[] points,
        double at
    )
    {
        if (at <= points[0].Amperes)
            return (points[0].RelativeCorrection, points[0].ExpandedRelative, 0, points[0]);
        for (var i = 1; i < points.Length; i++)
        {
            var (low, high) = (points[i - 1], points[i]);
            if (at > high.Amperes)
                continue;
            var f = (at - low.Amperes) / (high.Amperes - low.Amperes);
            var step = high.RelativeCorrection - low.RelativeCorrection;
            var nearest = f < 0.5 ? low : high;
            // k may differ between points: interpolate u and express it at the nearest point's k.
            var u =
                low.ExpandedRelative / low.CoverageFactor * (1 - f) + high.ExpandedRelative / high.CoverageFactor * f;
            return (
                low.RelativeCorrection + f * step,
                u * nearest.CoverageFactor,
                Math.Abs(step) * Math.Min(f, 1 - f),
                nearest
            );
        }
        return (points[^1].RelativeCorrection, points[^1].ExpandedRelative, 0, points[^1]);
    }

    private static ShuntCertificatePoint[] Sorted(ReferenceShunt shunt)
    {
        var points = shunt.Certificate.OrderBy(p => p.Amperes).ToArray();
        for (var i = 0; i < points.Length; i++)
        {
            var p = points[i];
            Guard.Positive(p.Amperes, shunt.Name, "current of a certificate point in A");
            Guard.Finite(p.RelativeCorrection, shunt.Name, $"correction at {Figures.With(p.Amperes, "A", 4)}");
            Guard.Positive(
                p.ExpandedRelative,
                shunt.Name,
                $"expanded uncertainty at {Figures.With(p.Amperes, "A", 4)}"
            );
            Guard.Positive(p.CoverageFactor, shunt.Name, $"coverage factor at {Figures.With(p.Amperes, "A", 4)}");
            Guard.Degrees(p.DegreesOfFreedom, shunt.Name);
            Guard.Require(
                i == 0 || p.Amperes > points[i - 1].Amperes,
                $"{shunt.Name}: two certificate points at {Figures.With(p.Amperes, "A", 4)}; give each current once."
            );
        }
        return points;
    }
}
