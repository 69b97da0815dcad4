using LoadTest.Analysis.Numerics;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>Digits reached on every NIST StRD set; the numbers here may only rise.</summary>
public sealed class CertifiedDigitsTests
{
    [Theory]
    [InlineData("Norris", 1, 13.9, 13.7)]
    [InlineData("Pontius", 2, 13.3, 13.6)]
    [InlineData("Wampler1", 5, 14.5, 14.5)]
    [InlineData("Wampler2", 5, 13, 14.5)]
    [InlineData("Wampler3", 5, 14.5, 14.3)]
    [InlineData("Wampler4", 5, 14.5, 14.3)]
    [InlineData("Wampler5", 5, 14.5, 14.3)]
    [InlineData("Filip", 10, 13.8, 14.6)]
    public void Polynomial_sets_keep_their_digits(string name, int degree, double parameters, double errors) =>
        Hold(CertifiedScores.Polynomial(name, degree), parameters, errors);

    [Theory]
    [InlineData("Longley", true, 14.4, 14.7)]
    [InlineData("NoInt1", false, 14.5, 14.7)]
    [InlineData("NoInt2", false, 14.5, 14.7)]
    public void Linear_sets_keep_their_digits(string name, bool constant, double parameters, double errors) =>
        Hold(CertifiedScores.LinearModel(name, constant), parameters, errors);

    // NIST certifies eleven digits here; what is left is the rounding of the printed values.
    [Theory]
    [InlineData("Misra1a", 10.9, 10.6)]
    [InlineData("BoxBOD", 11.5, 10.2)]
    [InlineData("Chwirut2", 10.7, 10.8)]
    [InlineData("DanWood", 11, 10.9)]
    [InlineData("Eckerle4", 10.3, 10.3)]
    [InlineData("Gauss1", 10.4, 10.4)]
    [InlineData("Lanczos3", 10, 10.4)]
    [InlineData("MGH09", 10.3, 10.2)]
    [InlineData("Rat43", 10.8, 10.5)]
    [InlineData("Thurber", 10.2, 10.4)]
    [InlineData("MGH10", 10.6, 10.8)]
    [InlineData("MGH17", 10.6, 10.4)]
    [InlineData("Misra1d", 12.2, 10.9)]
    [InlineData("Rat42", 11, 10.4)]
    [InlineData("Roszman1", 10.7, 10.8)]
    [InlineData("Misra1b", 10.8, 10.6)]
    [InlineData("Misra1c", 10.6, 10.4)]
    [InlineData("Chwirut1", 10.5, 10.7)]
    [InlineData("Gauss2", 10.1, 10.2)]
    [InlineData("Gauss3", 10.3, 10.3)]
    // Lanczos1's residuals are 10⁻¹³ of values near 2.5 in doubles good to 4 × 10⁻¹⁶: no more of their size can be known.
    [InlineData("Lanczos1", 10.3, 2.6)]
    [InlineData("Lanczos2", 10.2, 10.5)]
    [InlineData("Kirby2", 10.3, 10.5)]
    [InlineData("Hahn1", 10.6, 10.3)]
    [InlineData("Nelson", 10.7, 10.4)]
    [InlineData("ENSO", 10.2, 10.6)]
    [InlineData("Bennett5", 10.7, 10.2)]
    public void Nonlinear_sets_keep_their_digits_from_both_starts(string name, double parameters, double errors)
    {
        Hold(CertifiedScores.Nonlinear(name, 1), parameters, errors);
        Hold(CertifiedScores.Nonlinear(name, 2), parameters, errors);
    }

    [Fact]
    public void Every_model_is_held() => Assert.Equal(27, CertifiedModels.All.Count);

    // What the documentation prints to a tenth is reached: the table cannot claim more than the program does, nor less sets.
    [Fact]
    public void Every_row_of_the_published_table_is_reached()
    {
        var rows = File.ReadLines(Path.Combine(AppContext.BaseDirectory, "docs", "figures.md"))
            .SkipWhile(l => !l.StartsWith("| set | start |", StringComparison.Ordinal))
            .Skip(2)
            .TakeWhile(l => l.StartsWith('|'))
            .Select(l => l.Split('|', StringSplitOptions.TrimEntries))
            .ToDictionary(c => (c[1], c[2].Length == 0 ? 0 : int.Parse(c[2])), c => (c[3], c[4]));
        var scores = CertifiedScores.All().ToList();
        Assert.Equal(scores.Count, rows.Count);
        foreach (var score in scores)
        {
            var (parameters, errors) = rows[(score.Set, score.Start)];
            Hold(score, double.Parse(parameters) - 0.1, double.Parse(errors) - 0.1);
        }
    }

    // NumAcc4's data are no doubles: 10 000 000.1 is off by up to 9 × 10⁻¹⁰, which costs s all but 8 digits.
    [Theory]
    [InlineData("Lottery", 14)]
    [InlineData("Lew", 14)]
    [InlineData("Mavro", 12)]
    [InlineData("Michelso", 13)]
    [InlineData("NumAcc1", 15)]
    [InlineData("NumAcc2", 14)]
    [InlineData("NumAcc3", 9)]
    [InlineData("NumAcc4", 8)]
    public void Univariate_sets_keep_their_digits(string name, double digits)
    {
        var set = CertifiedSet.Read(name);
        var moments = SampleMoments.Of(set.Y);
        Digits.AtLeast(14.5, moments.Mean, set.Mean, "mean");
        Digits.AtLeast(digits, moments.StandardDeviation, set.SampleDeviation, "s");
        Digits.AtLeast(digits, moments.LagOneAutocorrelation!.Value, set.LagOne, "lag one");
    }

    private static void Hold(CertifiedScore score, double parameters, double errors)
    {
        Assert.True(
            score.Parameters >= parameters && score.StandardErrors >= errors,
            $"{score.Set} start {score.Start}: {score.Parameters:F2} digits in parameters ({parameters} held), {score.StandardErrors:F2} in standard errors ({errors} held)"
        );
    }
}
