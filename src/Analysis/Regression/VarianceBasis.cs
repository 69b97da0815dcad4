namespace LoadTest.Analysis.Regression;

/// <summary>Where the size of the errors comes from, and so how parameter uncertainties are scaled.</summary>
public enum VarianceBasis
{
    /// <summary>Weights are only relative; the residual scatter sets the scale, with n − p degrees of freedom (GUM H.3).</summary>
    FromScatter,

    /// <summary>Weights are 1/u² of known standard uncertainties; residuals do not rescale them (ISO/TS 28037, clause 6).</summary>
    Known,
}
