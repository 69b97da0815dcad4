namespace LoadTest.Analysis.Uncertainty;

/// <summary>Difference of two independent estimates.</summary>
internal static class Difference
{
    /// <summary>a − b with combined u and effective ν (JCGM 100:2008, 5.1.2 and G.4.1).</summary>
    public static Estimate Of(Estimate a, Estimate b, string name, string unit)
    {
        Guard.Sane(a, name);
        Guard.Sane(b, name);
        UncertaintyInput[] inputs =
        [
            UncertaintyInput.FromStandard("first", a.Value, a.StandardUncertainty, a.DegreesOfFreedom),
            UncertaintyInput.FromStandard("second", b.Value, b.StandardUncertainty, b.DegreesOfFreedom).With(-1),
        ];
        return Budget.Linear(name, unit, a.Value - b.Value, inputs).Combined;
    }
}
