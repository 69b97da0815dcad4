namespace LoadTest.Records;

/// <summary>One line of the report's list of events.</summary>
/// <param name="At">When, since the run was opened.</param>
/// <param name="Kind">What kind of event, a word or two.</param>
/// <param name="Text">What happened.</param>
public sealed record RunEvent(TimeSpan At, string Kind, string Text);
