using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Decision;

/// <summary>The values that pass under a rule, and the guard band that leaves.</summary>
internal readonly record struct Acceptance(double Lower, double Upper, double GuardBand)
{
    private const int Halvings = 200;

    public static Acceptance ByGuardBand(ToleranceLimit limit, double w)
    {
        double lower = limit.Lower + w,
            upper = limit.Upper - w;
        return lower <= upper ? new(lower, upper, w) : new(double.NaN, double.NaN, w);
    }

    /// <summary>Acceptance limits where the probability of being outside just reaches the risk allowed.</summary>
    public static Acceptance ByRisk(Estimate estimate, ToleranceLimit limit, double largestRisk)
    {
        var u = estimate.StandardUncertainty;
        if (u == 0)
            return new(limit.Lower, limit.Upper, 0);
        var nu = estimate.DegreesOfFreedom;
        var oneSided = u * Coverage.UpperFactor(largestRisk, nu);
        if (!limit.IsTwoSided)
            return new(limit.Lower + oneSided, limit.Upper - oneSided, oneSided);
        // With two limits both tails count; the risk falls towards the middle, so the depth is found by halving.
        double near = oneSided,
            far = limit.Width / 2;
        if (far < near || Risk(far) > largestRisk)
            return new(double.NaN, double.NaN, oneSided);
        for (var i = 0; i < Halvings && far - near > 1e-15 * far; i++)
        {
            var middle = near + (far - near) / 2;
            if (Risk(middle) > largestRisk)
                near = middle;
            else
                far = middle;
        }
        return new(limit.Lower + far, limit.Upper - far, far);

        double Risk(double depth) =>
            Coverage.Above(depth, new Estimate(0, u, nu)) + Coverage.Above(limit.Width - depth, new Estimate(0, u, nu));
    }
}
