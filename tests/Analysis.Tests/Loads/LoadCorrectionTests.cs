using LoadTest.Analysis;
using LoadTest.Analysis.Loads;

namespace LoadTest.AnalysisTests.Loads;

/// <summary>The bounds are common practice, no source; the resistances follow from Ohm's law.</summary>
public sealed class LoadCorrectionTests
{
    // Four of 0.4 Ω make 0.1 Ω; 10 Ω is the smallest step, so the window is ± 0.05 S on 10 S.
    private static readonly LoadBank Bank = Banks.Of(0.4, 0.4, 0.4, 0.4, 4, 10, 10);
    private static readonly LoadRequest Request = Banks.Wanted(0.1, Banks.Current(300));
    private static readonly LoadFound Standing = (LoadFound)LoadSolver.Solve(Bank, Request);

    [Fact]
    public void Warm_elements_are_made_up_by_another()
    {
        // All elements 3 % warmer: 10 S become 9.709 S; 4 Ω warm adds 0.243 S, which is within 0.05 S of 10 S.
        var change = Assert.IsType<ChangeLoad>(Next(0.103));

        Assert.Equal("1+2+3+4+5", change.Load.Set.ToString());
        Assert.Equal(1 / ((10 + 0.25) / 1.03), change.Load.Achieved.Value, 9);
    }

    [Fact]
    public void Within_the_tolerance_nothing_is_switched() => Assert.IsType<KeepLoad>(Next(0.1003));

    [Fact]
    public void A_difference_the_meters_cannot_tell_is_left_alone() => Assert.IsType<KeepLoad>(Next(0.103, 0.002));

    [Fact]
    public void More_corrections_than_allowed_are_refused() =>
        Assert.Contains("2 corrections were made", Assert.IsType<LeaveLoad>(Next(0.103, alreadyMade: 2)).Reason);

    [Fact]
    public void A_bank_far_from_its_resistance_is_left_to_a_person() =>
        Assert.Contains("stuck open or closed", Assert.IsType<LeaveLoad>(Next(0.1333)).Help);

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(0)]
    [InlineData(double.PositiveInfinity)]
    public void A_measured_resistance_that_is_none_is_refused(double ohms) =>
        Assert.Throws<ArgumentException>(() => Next(ohms));

    private static LoadCorrection Next(double ohms, double uncertainty = 0.0001, int alreadyMade = 0) =>
        LoadCorrection.Next(
            Bank,
            Request,
            Standing,
            new Estimate(ohms, uncertainty),
            alreadyMade,
            CorrectionBounds.House
        );
}
