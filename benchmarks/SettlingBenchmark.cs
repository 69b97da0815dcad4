using BenchmarkDotNet.Attributes;
using LoadTest.Analysis.Settling;

namespace LoadTest.Benchmarks;

/// <summary>One assessment of a window as the engine makes it on every scan: 4 s at ten scans a second.</summary>
[MemoryDiagnoser]
public class SettlingBenchmark
{
    private readonly SettlingRule _rule = new(0.003, 0, overSeconds: 4, minimumReadings: 10);
    private readonly double[] _times = new double[600];
    private readonly double[] _values = new double[600];

    /// <summary>A level, and small or large noise on it: settled, or one that asks for a name.</summary>
    [Params("settled", "noisy")]
    public string Series { get; set; } = "";

    [GlobalSetup]
    public void Build()
    {
        var random = new Random(1);
        for (var i = 0; i < _times.Length; i++)
        {
            _times[i] = 0.1 * i;
            _values[i] = 300 + (Series.Length == 7 ? 0.3 : 3) * (random.NextDouble() - 0.5);
        }
    }

    [Benchmark]
    public bool Assess() => _rule.Assess(_times, _values).IsSettled;
}
