namespace LoadTest.Sequencer.Gating;

/// <summary>One caution of a load test, acknowledged by name.</summary>
/// <param name="Name">Short name, unique among the cautions.</param>
/// <param name="Text">What to know or do, in two sentences or fewer.</param>
public sealed record Caution(string Name, string Text);
