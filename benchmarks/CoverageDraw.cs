using System.Text.RegularExpressions;
using LoadTest.Running;
using LoadTest.Sequencer.Benches;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Benchmarks;

/// <summary>Draws what is really wrong with a bench from what its files state: data sheets, certificates, class, temperatures.</summary>
/// <remarks>Limits are drawn as rectangles, certificates as normals of U/k. The bench's certificates carry no correction here, so that what is drawn is
/// the whole error. Repeatable: SplitMix64 of the seed.</remarks>
internal sealed partial class CoverageDraw(ulong seed)
{
    private const double Ppm = 1e-6;
    private const double RunDay = 278;
    private const double YearlyPartOfClass = 0.2;
    private const double AmbientHalfWidth = 5;
    private const double HeldPart = 0.36;
    private ulong _state = unchecked(seed * 0x9E3779B97F4A7C15 + 0x1234567);

    /// <summary>A shipped bench file with every correction set to zero, written beside it.</summary>
    public static string BenchWithoutCorrections(string name)
    {
        var shipped = ProfileFolder.Find(name, "benches");
        var path = Path.Combine(Path.GetDirectoryName(shipped)!, $"coverage-{name}");
        File.WriteAllText(path, Correction().Replace(File.ReadAllText(shipped), "correction: 0 ${amount},"));
        return path;
    }

    /// <summary>Between 0 and 1.</summary>
    public double Uniform()
    {
        unchecked
        {
            _state += 0x9E3779B97F4A7C15;
            var z = _state;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
            return ((z ^ (z >> 31)) >> 11) * (1.0 / (1UL << 53));
        }
    }

    /// <summary>The world with its errors drawn.</summary>
    public WorldFile Of(WorldFile world, Bench bench) =>
        world with
        {
            AmbientCelsius = 23 + Within(AmbientHalfWidth),
            Meters = [.. world.Meters.Select(m => Meter(m, bench))],
            Loggers = world.Loggers is { } loggers ? [.. loggers.Select(l => Logger(l, bench))] : null,
            ReferenceShunt = Shunt(world.ReferenceShunt, bench.ReferenceShunt),
            UnitShunt = world.UnitShunt with { RatioErrorPercent = Within(2) },
            Panel = world.Panel with { AmperesErrorPercent = Within(2), VoltsErrorPercent = Within(2) },
        };

    private MeterWorld Meter(MeterWorld meter, Bench bench)
    {
        var (instrument, definition) = Of(bench, meter.Name);
        var input = definition.Inputs[0];
        var top = instrument.Certificate!.Points.MaxBy(p => p.At.Value)!;
        var ofRange = RangePart(input) / input.Range;
        return meter with
        {
            GainErrorPpm =
                (
                    Within(input.Specification.OfReading)
                    + Normal() * top.Expanded.Value / top.CoverageFactor / top.At.Value
                ) / Ppm,
            OffsetPpm = Within(ofRange / 2) / Ppm,
            LinearityPpm = Within(ofRange / 2) / Ppm,
            WarmUpPpm = 0,
        };
    }

    private LoggerWorld Logger(LoggerWorld logger, Bench bench)
    {
        var (instrument, definition) = Of(bench, logger.Name);
        return logger with { Channels = [.. logger.Channels.Select((c, k) => Channel(c, definition.Inputs[k]))] };

        LoggerChannelWorld Channel(LoggerChannelWorld channel, InputDefinition input)
        {
            var half = RangePart(input) / 2;
            var certified = instrument.Certificate?.Points.FirstOrDefault(p => p.Input == input.Name);
            return channel with
            {
                ErrorPercent = Within(input.Specification.OfReading) * 100,
                Offset =
                    Within(half)
                    + Within(half)
                    + (certified is { } p ? Normal() * p.Expanded.Value / p.CoverageFactor : 0),
            };
        }
    }

    private ShuntWorld Shunt(ShuntWorld world, CertifiedShunt shunt)
    {
        var point = shunt.Certificate!.Points[0];
        var perKelvin = (Uniform() < 0.5 ? -1 : 1) * shunt.TemperatureCoefficient;
        var rise = shunt.SelfHeatingKelvins * Math.Max(0.01, Uniform());
        var relative =
            Normal() * point.Expanded.Value / point.CoverageFactor
            + Within(YearlyPartOfClass * shunt.ClassIndex / 100 * RunDay / 365.25);
        // The world states the ratio at 20 °C, the certificate at 23 °C.
        return world with
        {
            RatioErrorPercent = (relative - 3 * perKelvin) * 100,
            PpmPerKelvin = perKelvin / Ppm,
            RiseKelvin = rise,
            ThermalSeconds = 60 * Math.Pow(10, Uniform()),
            EmfMicrovoltsPerKelvin = Within(shunt.ThermalVolts.Value) / Ppm / (rise * HeldPart),
        };
    }

    private static (BenchInstrument Instrument, InstrumentDefinition Definition) Of(Bench bench, string device)
    {
        var instrument = bench.Instruments.First(i => i.Line is LineText.Simulated s && s.Device == device);
        return (instrument, instrument.Definition);
    }

    private static double RangePart(InputDefinition input) =>
        input.Specification.OfRange * input.Range + input.Specification.Counts * input.Resolution;

    private double Within(double halfWidth) => halfWidth * (2 * Uniform() - 1);

    private double Normal() => Math.Sqrt(-2 * Math.Log(1 - Uniform())) * Math.Cos(2 * Math.PI * Uniform());

    [GeneratedRegex(@"correction: \S+ (?<amount>[^,]+),", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Correction();
}
