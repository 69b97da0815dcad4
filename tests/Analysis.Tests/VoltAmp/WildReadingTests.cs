using LoadTest.Analysis.VoltAmp;

namespace LoadTest.AnalysisTests.VoltAmp;

public sealed class WildReadingTests
{
    [Fact]
    public void Five_readings_of_a_line_with_one_digit_off_are_a_line()
    {
        var curve = VoltAmpAnalysis.Fit(
            [new(0, 70), new(50, 67.5), new(100, 65.1), new(200, 60), new(300, 55)],
            new VoltAmpOptions { VoltsDigit = 0.1, AmperesDigit = 1 }
        );

        Assert.Equal(VoltAmpModel.StraightLine, curve.Model);
        // 70 V over 5 V/100 A: 1 400 A.
        Assert.Equal(1400, curve.ShortCircuitCurrent!.Value, 15.0);
        Assert.DoesNotContain(curve.Points, p => p.IsOutlier || p.IsSetAside);
        // Never less than the last digit, 0.1 V/√12, spread over five readings.
        Assert.True(curve.OpenCircuitVoltage!.StandardUncertainty > 0.0288 / Math.Sqrt(5));
    }

    [Fact]
    public void One_wild_reading_does_not_change_the_shape()
    {
        const int Many = 100;
        foreach (var tally in CurveDraws.All(Many))
        {
            Assert.True(tally.Right >= 0.97 * Many, tally.ToString());
        }
    }
}
