using BenchmarkDotNet.Attributes;
using LoadTest.Analysis.Loads;
using LoadTest.Analysis.Quantities;

namespace LoadTest.Benchmarks;

/// <summary>Choice of elements out of 24, order of switching included; the goal is below 5 ms warm.</summary>
[MemoryDiagnoser]
public class LoadSolverBenchmark
{
    private LoadBank _bank = null!;
    private LoadRequest _request = null!;

    /// <summary>Kinds of bank: all alike (most ties), halving steps, twenty-four different ones, mixed ratings, no order,
    /// a detour around the best set, no set that can be reached, and the same with the bench's amperes bounding a drooping source.</summary>
    [Params("alike", "halving", "different", "mixed ratings", "no order", "detour", "none reached", "bounded")]
    public string Bank { get; set; } = "";

    [GlobalSetup]
    public void Build()
    {
        if (Bank is "detour" or "none reached" or "bounded")
        {
            Unequal();
            return;
        }

        var elements = Enumerable.Range(0, 24).Select(k => Element(k)).ToArray();
        _bank = new LoadBank(elements);
        var siemens = elements.Sum(e => 1 / e.Resistance.Value);
        var ohms = 1 / (siemens * (Bank == "mixed ratings" ? 0.75 : 0.5));
        var volts = Bank == "mixed ratings" ? 42 : 30;
        _request = new LoadRequest(
            new WantedResistance(new Ohms(ohms)),
            new ConstantCurrent(new Amperes(volts / ohms), new Volts(80)),
            new SwitchingLimits(TimeSpan.FromSeconds(Bank == "no order" ? 1 : 0.1), TimeSpan.FromSeconds(1))
        )
        {
            Present = Bank == "no order" ? ElementSet.None : ElementSet.First(24),
            WearCounts = [.. Enumerable.Range(0, 24).Select(k => (long)(k * 37 % 24 * 10))],
        };
    }

    [Benchmark]
    public LoadAnswer Solve() => LoadSolver.Solve(_bank, _request);

    // Elements nearly alike and of unequal strength, from an open bank: few can close first, and sets tie by the million.
    private void Unequal()
    {
        _bank = new LoadBank(
            Enumerable
                .Range(0, 24)
                .Select(k => new LoadElement($"E{k + 1}", new Ohms(1 + 1e-4 * (k * 7 % 24)))
                {
                    RatedVolts = new Volts(
                        Bank == "none reached" ? 31 + 0.5 * (k % 4)
                        : k % 6 == 5 ? 100
                        : 31 + 4 * (k % 5)
                    ),
                    ShortTime = new ShortTimeRating(new Volts(82), TimeSpan.FromSeconds(1)),
                })
        );
        var ohms = 1 / 12.0;
        SourceCharacteristic source =
            Bank == "bounded"
                ? new Drooping(new Volts(80), new Ohms((80 / 30.0 - 1) * ohms))
                : new ConstantCurrent(new Amperes(30 / ohms), new Volts(80));
        _request = new LoadRequest(
            new WantedResistance(new Ohms(ohms)),
            source,
            new SwitchingLimits(TimeSpan.FromSeconds(0.5), TimeSpan.FromSeconds(1))
            {
                MostAmperes = Bank == "bounded" ? new Amperes(30 / ohms * 1.05) : null,
            }
        )
        {
            Present = Bank == "bounded" ? new ElementSet(0x7C0820) : ElementSet.None,
            WearCounts = [.. Enumerable.Range(0, 24).Select(k => (long)(k * 37 % 24 * 10))],
        };
    }

    private LoadElement Element(int k)
    {
        var ohms = Bank switch
        {
            "alike" => 2.0,
            "halving" => 0.4 * (1 << (k % 6)),
            "different" => 1 + 0.137 * k,
            _ => 1 + 0.05 * (k * 7 % 24),
        };
        // Mixed ratings straddle the volts of the step, so that the choice of set decides who is overloaded.
        return new LoadElement($"E{k + 1}", new Ohms(ohms))
        {
            RatedVolts = new Volts(
                Bank switch
                {
                    "mixed ratings" => 41.5 + 0.05 * k,
                    "no order" => 31,
                    _ => 100,
                }
            ),
            ShortTime = new ShortTimeRating(new Volts(110), TimeSpan.FromSeconds(2)),
        };
    }
}
