using LoadTest.Analysis.Uncertainty;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>An input's accuracy as Analysis reckons with it; plan and record ask the same one.</summary>
public static class MeterSheet
{
    /// <summary>A meter shows a little more than its range; beyond that it says overload and nothing is averaged.</summary>
    public const double LargestOfRange = 1.2;

    /// <summary>The specification of an input, on its one range.</summary>
    /// <param name="input">The input.</param>
    /// <param name="meter">Name the meter bears in budgets.</param>
    public static MeterSpecification Of(InputDefinition input, string meter)
    {
        ArgumentNullException.ThrowIfNull(input);
        var s = input.Specification;
        return new MeterSpecification
        {
            Meter = meter,
            Unit = UnitText.Usual(input.Unit),
            Ranges =
            [
                new MeterRange
                {
                    FullScale = input.Range,
                    LargestIndication = input.Range * LargestOfRange,
                    PercentOfReading = s.OfReading * 100,
                    PercentOfRange = s.OfRange * 100,
                    Counts = s.Counts,
                    CountSize = input.Resolution,
                    PercentOfReadingPerKelvin = s.PerKelvinOutside * 100,
                },
            ],
            BandLowCelsius = s.BandLow,
            BandHighCelsius = s.BandHigh,
            WarmUpMinutes = s.WarmUp.TotalMinutes,
        };
    }
}
