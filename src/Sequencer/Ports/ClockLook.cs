namespace LoadTest.Sequencer.Ports;

/// <summary>One look at the clocks that are no part of any decision.</summary>
/// <param name="WallOffset">Wall time less monotonic time, from any origin; moves only when somebody or something sets the clock.</param>
/// <param name="Slept">Time the machine has slept since it was started; zero where it cannot be told.</param>
public readonly record struct ClockLook(TimeSpan WallOffset, TimeSpan Slept);
