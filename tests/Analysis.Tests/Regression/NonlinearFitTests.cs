using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class NonlinearFitTests
{
    public static readonly TheoryData<string, int, double, double> Certified = new()
    {
        { "Misra1a", 1, 7, 6 },
        { "Misra1a", 2, 7, 6 },
        { "BoxBOD", 1, 7, 6 },
        { "BoxBOD", 2, 7, 6 },
        { "Chwirut2", 1, 7, 6 },
        { "Chwirut2", 2, 7, 6 },
        { "DanWood", 1, 7, 6 },
        { "DanWood", 2, 7, 6 },
        { "Eckerle4", 1, 7, 6 },
        { "Eckerle4", 2, 7, 6 },
        { "Gauss1", 1, 7, 6 },
        { "Gauss1", 2, 7, 6 },
        { "Lanczos3", 1, 7, 6 },
        { "Lanczos3", 2, 7, 6 },
        { "MGH09", 1, 7, 6 },
        { "MGH09", 2, 7, 6 },
        { "Rat43", 1, 7, 6 },
        { "Rat43", 2, 7, 6 },
        { "Thurber", 1, 7, 6 },
        { "Thurber", 2, 7, 6 },
    };

    [Theory]
    [MemberData(nameof(Certified))]
    public void Fit_reaches_the_NIST_certified_values_from_both_starts(
        string name,
        int start,
        double parameterDigits,
        double deviationDigits
    )
    {
        var set = CertifiedSet.Read(name);
        var fit = NonlinearFit.Fit(
            CertifiedModels.All[name],
            set.X,
            set.Y,
            (start == 1 ? set.FirstStart : set.SecondStart).ToArray()
        );
        TestContext.Current.TestOutputHelper?.WriteLine($"{fit.Reason} {fit.Iterations} {fit.Condition:G3}");
        Assert.Null(fit.CannotSay);
        for (var j = 0; j < set.Estimates.Count; j++)
        {
            Digits.AtLeast(parameterDigits, fit.Parameters![j].Value, set.Estimates[j], $"{name} b{j + 1}");
            Digits.AtLeast(
                deviationDigits,
                fit.Parameters[j].StandardUncertainty,
                set.StandardDeviations[j],
                $"{name} s(b{j + 1})"
            );
        }

        Digits.AtLeast(deviationDigits, fit.WeightedSquares, set.ResidualSquares, "residual squares");
        Digits.AtLeast(deviationDigits, fit.ResidualStandardDeviation, set.ResidualStandardDeviation, "s");
    }
}
