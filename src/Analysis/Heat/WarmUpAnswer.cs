namespace LoadTest.Analysis.Heat;

/// <summary>A warm-up curve, or why none can be named.</summary>
public abstract record WarmUpAnswer
{
    private protected WarmUpAnswer() { }
}

/// <summary>The curve.</summary>
/// <param name="Curve">Start, rise, time constant and end.</param>
public sealed record WarmUpFound(WarmUp Curve) : WarmUpAnswer;

/// <summary>No curve can be named.</summary>
/// <param name="Reason">Why, and what would help.</param>
public sealed record WarmUpUnknown(string Reason) : WarmUpAnswer;
