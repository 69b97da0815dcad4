using System.Collections.Immutable;
using LoadTest.Analysis;
using LoadTest.Analysis.Heat;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Records.Results;

/// <summary>What a heat run says.</summary>
/// <param name="Minutes">When the unit temperature was taken, minutes since the run was opened.</param>
/// <param name="Celsius">The temperatures taken, °C.</param>
/// <param name="Unit">The unit temperature over the heat run.</param>
/// <param name="Air">The air temperature over the heat run; empty without such a channel.</param>
/// <param name="Equilibrium">Whether it had stopped warming at the end; null when no rule was asked for.</param>
/// <param name="WarmUp">Where it will end and how fast, as an estimate; null when too few temperatures were taken.</param>
/// <param name="Final">Temperature it tends to, °C, with the fit's uncertainty and the thermometer's; null when either is not known.</param>
/// <param name="Rise">Unit less air temperature at the end, K, with its budget; null when not measured to the end.</param>
/// <param name="WorstDuty">Largest part of any ten minutes under load, as it happened.</param>
/// <param name="Length">How long the heat run lasted.</param>
public sealed record HeatResult(
    ImmutableArray<double> Minutes,
    ImmutableArray<double> Celsius,
    RunTrace Unit,
    RunTrace Air,
    ThermalEquilibrium? Equilibrium,
    WarmUpAnswer? WarmUp,
    Estimate? Final,
    Budget? Rise,
    double WorstDuty,
    TimeSpan Length
);
