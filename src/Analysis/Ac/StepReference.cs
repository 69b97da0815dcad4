namespace LoadTest.Analysis.Ac;

/// <summary>What dip and overshoot are counted from.</summary>
public enum StepReference
{
    /// <summary>The rated value, as for voltage.</summary>
    Rated,

    /// <summary>The value before the step, as for frequency.</summary>
    BeforeStep,

    /// <summary>The new steady value, where the load change itself moves it: what swings beyond it counts.</summary>
    AfterStep,
}
