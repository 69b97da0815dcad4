using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

public sealed class LinearFitTests
{
    // Digits reached, per NIST StRD set: parameters, standard errors. They may only rise. Longley's data carry cross products
    // that no double arithmetic on the printed values can improve upon.
    [Theory]
    [InlineData("Norris", 1, 13.5, 13.5)]
    [InlineData("Pontius", 2, 12, 12)]
    [InlineData("Wampler1", 5, 14, 0)]
    [InlineData("Wampler2", 5, 13, 0)]
    [InlineData("Wampler3", 5, 14, 13.5)]
    [InlineData("Wampler4", 5, 14, 13.5)]
    [InlineData("Wampler5", 5, 14, 13.5)]
    public void Polynomial_fit_matches_the_NIST_certified_values(string name, int degree, double needed, double errors)
    {
        var set = CertifiedSet.Read(name);
        var fit = PolynomialFit.Fit(set.X, set.Y, degree);
        for (var j = 0; j <= degree; j++)
        {
            Digits.AtLeast(needed, fit.Coefficients[j].Value, set.Estimates[j], $"{name} B{j}");
            if (set.StandardDeviations[j] == 0)
            {
                // Certified as exactly 0: only rounding of the data may remain.
                Assert.InRange(fit.Coefficients[j].StandardUncertainty, 0, 1e-13);
            }
            else
            {
                Digits.AtLeast(
                    errors,
                    fit.Coefficients[j].StandardUncertainty,
                    set.StandardDeviations[j],
                    $"{name} s(B{j})"
                );
            }
        }
    }

    [Theory]
    [InlineData("Longley", 12, 12, true)]
    [InlineData("NoInt1", 13.5, 13.5, false)]
    [InlineData("NoInt2", 13.5, 13.5, false)]
    public void Linear_fit_matches_the_NIST_certified_values(string name, double needed, double errors, bool constant)
    {
        var set = CertifiedSet.Read(name);
        var columns = set.Estimates.Count;
        double[] design = [.. set.Rows.SelectMany(r => constant ? r.Skip(1).Prepend(1) : r.Skip(1))];
        var fit = LinearFit.Fit(design, columns, set.Y);
        for (var j = 0; j < columns; j++)
        {
            Digits.AtLeast(needed, fit.Coefficients[j].Value, set.Estimates[j], $"{name} B{j}");
            Digits.AtLeast(
                errors,
                fit.Coefficients[j].StandardUncertainty,
                set.StandardDeviations[j],
                $"{name} s(B{j})"
            );
        }

        Digits.AtLeast(errors, fit.ResidualStandardDeviation, set.ResidualStandardDeviation, "s");
    }

    [Fact]
    public void R_squared_without_a_constant_is_about_zero()
    {
        // NIST StRD NoInt1 certifies 0.999365492298663, the share of the raw squares.
        var set = CertifiedSet.Read("NoInt1");
        var fit = LinearFit.Fit(set.X, 1, set.Y);
        Digits.AtLeast(14, fit.RSquaredAboutZero, 0.999365492298663);
        Assert.NotEqual(fit.RSquaredAboutMean, fit.RSquaredAboutZero);
        var norris = CertifiedSet.Read("Norris");
        Digits.AtLeast(14, PolynomialFit.Fit(norris.X, norris.Y, 1).RSquared, 0.999993745883712);
    }

    [Fact]
    public void Load_cell_calibration_is_the_quadratic_of_the_handbook()
    {
        // NIST/SEMATECH e-Handbook, load-cell calibration (33 points): fit recomputed, equal to the printed values.
        var rows = HandbookData.LoadCell;
        double[] x = [.. rows.Select(r => r.Load)];
        double[] y = [.. rows.Select(r => r.Deflection)];
        var fit = PolynomialFit.Fit(x, y, 2);
        Assert.Equal(-1.83980467e-5, fit.Coefficients[0].Value, 12);
        Assert.Equal(0.100102485, fit.Coefficients[1].Value, 9);
        Assert.Equal(7.03186511e-6, fit.Coefficients[2].Value, 12);
        Assert.Equal(2.45072e-5, fit.Coefficients[0].StandardUncertainty, 9);
        Assert.Equal(4.83870e-6, fit.Coefficients[1].StandardUncertainty, 10);
        Assert.Equal(2.01361e-7, fit.Coefficients[2].StandardUncertainty, 11);
        Assert.Equal(3.76403e-5, fit.ResidualStandardDeviation, 9);
        Assert.Equal(30, fit.ResidualDegrees);
    }

    [Fact]
    public void Lack_of_fit_of_the_load_cell_line_is_the_one_of_the_handbook()
    {
        // NIST/SEMATECH e-Handbook, load-cell calibration: F 112.24 for the line, 0.3477 with 8 and 22 degrees of freedom for the quadratic.
        double[] x = [.. HandbookData.LoadCell.Select(r => r.Load)];
        double[] y = [.. HandbookData.LoadCell.Select(r => r.Deflection)];
        var line = LackOfFit.Of(x, [.. PolynomialFit.Fit(x, y, 1).Residuals], 2)!;
        var quadratic = LackOfFit.Of(x, [.. PolynomialFit.Fit(x, y, 2).Residuals], 3)!;
        Assert.Equal(112.24, line.Ratio, 2);
        Assert.Equal(0.3477, quadratic.Ratio, 4);
        Assert.Equal((8, 22), (quadratic.MisfitDegrees, quadratic.RepeatDegrees));
        Assert.True(line.Chance < 1e-10 && quadratic.Chance > 0.5);
        Assert.Null(LackOfFit.Of([1, 2, 3, 4], [0.1, -0.1, 0.1, -0.1], 2));
    }

    [Fact]
    public void Columns_that_cannot_be_told_apart_are_refused()
    {
        double[] design = [1, 2, 2, 1, 3, 3, 1, 4, 4, 1, 5, 5];
        var refusal = Assert.ThrowsAny<ArgumentException>(() => LinearFit.Fit(design, 3, [1, 2, 3, 5]));
        Assert.Contains("do not tell the 3 coefficients apart", refusal.Message, StringComparison.Ordinal);
        Assert.ThrowsAny<ArgumentException>(() => PolynomialFit.Fit([1, 1, 1, 2, 2], [1, 2, 3, 4, 5], 2));
        Assert.ThrowsAny<ArgumentException>(() => PolynomialFit.Fit([1, 2], [1, 2], 2));
        Assert.ThrowsAny<ArgumentException>(() => PolynomialFit.Fit([1, 2, double.NaN, 4], [1, 2, 3, 4], 1));
    }

    [Fact]
    public void Line_and_general_fit_agree_on_weights_and_bands()
    {
        double[] x = [1, 2, 3, 4, 5];
        double[] y = [2.1, 3.9, 6.2, 7.8, 10.1];
        double[] w = [1, 2, 3, 2, 1];
        var line = LineFit.Fit(x, y, w);
        var polynomial = PolynomialFit.Fit(x, y, 1, w);
        Assert.Equal(line.Slope.Value, polynomial.Coefficients[1].Value, 13);
        Assert.Equal(line.Intercept.StandardUncertainty, polynomial.Coefficients[0].StandardUncertainty, 13);
        Assert.Equal(line.Predict(7).StandardUncertainty, polynomial.Predict(7).StandardUncertainty, 13);
    }
}
