namespace LoadTest.Analysis.MachineAccuracy;

/// <summary>One point of a control sweep.</summary>
/// <param name="Mark">Mark of the control, in any unit the marks have.</param>
/// <param name="Output">Output there, with u.</param>
/// <param name="Direction">+1 on the way up, −1 on the way down.</param>
public readonly record struct ControlPoint(double Mark, Estimate Output, int Direction);

/// <summary>A stretch of the control between two neighbouring marks.</summary>
/// <param name="From">Lower mark.</param>
/// <param name="To">Upper mark.</param>
/// <param name="Change">Change of the output from lower to upper mark, with u.</param>
/// <param name="Direction">Way it was seen on: +1 up, −1 down.</param>
public readonly record struct ControlStretch(double From, double To, Estimate Change, int Direction);
