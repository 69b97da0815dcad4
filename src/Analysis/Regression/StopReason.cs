namespace LoadTest.Analysis.Regression;

/// <summary>Why a nonlinear fit ended.</summary>
public enum StopReason
{
    /// <summary>The residuals stand at right angles to every parameter's effect: the gradient is zero to rounding.</summary>
    GradientVanished,

    /// <summary>The last step moved no parameter by more than rounding.</summary>
    StepVanished,

    /// <summary>The model predicts no further reduction of the sum of squares that a double could show.</summary>
    ReductionVanished,

    /// <summary>The curve passes through every point to rounding.</summary>
    ExactFit,

    /// <summary>The allowed number of iterations was used up; the parameters are not a solution.</summary>
    IterationLimit,

    /// <summary>The model gave no finite number at the start; nothing was fitted.</summary>
    NotFiniteAtStart,

    /// <summary>Every parameter is held by a bound.</summary>
    HeldByBounds,
}
