using BenchmarkDotNet.Attributes;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Benchmarks;

/// <summary>10⁶ trials of a shunt ratio's budget: ten inputs, two of them t-distributed, with both intervals.</summary>
[MemoryDiagnoser]
public class MonteCarloBenchmark
{
    private static readonly MeasurementModel Shunt = new(
        "Shunt ratio",
        "mV/A",
        x =>
        {
            var drop = (x[0] + x[1] + x[2]) * (1 + x[3]);
            var amperes = (x[4] + x[5]) * (1 + x[6]) / (0.12 * (1 + x[7]) * (1 + x[8]));
            return drop / amperes * (1 + x[9]);
        },
        [
            UncertaintyInput.FromScatter("unit drop, scatter", new(37.5, 0.004, 19), 20),
            UncertaintyInput.FromResolution("unit drop, resolution", 0.001),
            UncertaintyInput.FromHalfWidth("unit drop, thermal EMF", 0, 0.005),
            UncertaintyInput.FromHalfWidth("unit drop, meter gain", 0, 0.0005),
            UncertaintyInput.FromScatter("reference drop, scatter", new(36, 0.004, 19), 20),
            UncertaintyInput.FromResolution("reference drop, resolution", 0.001),
            UncertaintyInput.FromHalfWidth("reference drop, meter gain", 0, 0.0005),
            UncertaintyInput.FromExpanded("reference shunt, certificate", 0, 0.0004, 2),
            UncertaintyInput.FromHalfWidth("reference shunt, temperature", 0, 0.0002),
            UncertaintyInput.FromHalfWidth("non-simultaneity", 0, 0.0003),
        ]
    );

    private ulong _seed;

    /// <summary>One fixed propagation of 10⁶ trials, a new seed each time.</summary>
    [Benchmark]
    public MonteCarloResult MillionTrials()
    {
        _seed++;
        return Shunt.Propagate(_seed, new MonteCarloOptions { Trials = 1_000_000 });
    }
}
