namespace LoadTest.Analysis.Uncertainty;

/// <summary>Effective degrees of freedom of a combined uncertainty.</summary>
internal static class WelchSatterthwaite
{
    /// <summary>ν_eff = u⁴ / Σ (u_g⁴/ν_g) over independent groups of inputs.</summary>
    /// <remarks>
    /// JCGM 100:2008, G.4.1 holds for independent inputs. Inputs that are correlated are one group: its variance with its
    /// correlations, and the fewest degrees of freedom of its members that have a finite number (readings taken together,
    /// as in GUM H.2, share them). That is on the safe side; house rule.
    /// </remarks>
    public static double Effective(
        IReadOnlyList<UncertaintyInput> inputs,
        ReadOnlySpan<double> signed,
        CorrelationMatrix matrix
    )
    {
        var n = signed.Length;
        var group = matrix.Groups();
        double total = matrix.Quadratic(signed),
            sum = 0;
        if (total <= 0)
            return double.PositiveInfinity;
        var members = new double[n];
        for (var g = 0; g < n; g++)
        {
            var nu = double.PositiveInfinity;
            for (var i = 0; i < n; i++)
            {
                members[i] = group[i] == g ? signed[i] : 0;
                if (members[i] != 0)
                    nu = Math.Min(nu, inputs[i].DegreesOfFreedom);
            }
            if (!double.IsInfinity(nu))
            {
                // Relative to the total, so that a budget in kiloamperes and one in microvolts round alike.
                var share = matrix.Quadratic(members) / total;
                sum += share * share / nu;
            }
        }
        return sum > 0 ? 1 / sum : double.PositiveInfinity;
    }
}
