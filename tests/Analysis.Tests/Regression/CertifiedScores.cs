using LoadTest.Analysis.Regression;

namespace LoadTest.AnalysisTests.Regression;

/// <summary>Digits reached on a certified set: the fewest over its parameters, and over their standard errors.</summary>
/// <param name="Set">Name of the NIST StRD set.</param>
/// <param name="Start">Certified start 1 or 2; 0 for a linear set.</param>
/// <param name="Parameters">−log₁₀ of the largest relative error of a parameter, at most 15.</param>
/// <param name="StandardErrors">The same for standard errors; absolute where certified as 0.</param>
internal sealed record CertifiedScore(string Set, int Start, double Parameters, double StandardErrors);

/// <summary>Fits every certified set through the program's own functions and counts digits.</summary>
internal static class CertifiedScores
{
    public static readonly (string Name, int Degree)[] Polynomials =
    [
        ("Norris", 1),
        ("Pontius", 2),
        ("Wampler1", 5),
        ("Wampler2", 5),
        ("Wampler3", 5),
        ("Wampler4", 5),
        ("Wampler5", 5),
        ("Filip", 10),
    ];

    public static readonly (string Name, bool Constant)[] Linear =
    [
        ("Longley", true),
        ("NoInt1", false),
        ("NoInt2", false),
    ];

    public static CertifiedScore Polynomial(string name, int degree)
    {
        var set = CertifiedSet.Read(name);
        return Score(set, 0, PolynomialFit.Fit(set.X, set.Y, degree).Coefficients);
    }

    public static CertifiedScore LinearModel(string name, bool constant)
    {
        var set = CertifiedSet.Read(name);
        double[] design = [.. set.Rows.SelectMany(r => constant ? r.Skip(1).Prepend(1) : r.Skip(1))];
        return Score(set, 0, LinearFit.Fit(design, set.Estimates.Count, set.Y).Coefficients);
    }

    public static CertifiedScore Nonlinear(string name, int start)
    {
        var set = CertifiedSet.Read(name);
        var (model, y, x, predictors) = CertifiedModels.Problem(set);
        double[] from = [.. start == 1 ? set.FirstStart : set.SecondStart];
        var fit = NonlinearFit.Fit(model, x, y, from, new NonlinearOptions { Predictors = predictors });
        return fit.Parameters is null ? new CertifiedScore(name, start, 0, 0) : Score(set, start, fit.Parameters);
    }

    /// <summary>All sets in the order of the table.</summary>
    public static IEnumerable<CertifiedScore> All() =>
        Polynomials
            .Select(p => Polynomial(p.Name, p.Degree))
            .Concat(Linear.Select(l => LinearModel(l.Name, l.Constant)))
            .Concat(CertifiedModels.All.Keys.SelectMany(n => new[] { Nonlinear(n, 1), Nonlinear(n, 2) }));

    private static CertifiedScore Score(CertifiedSet set, int start, IReadOnlyList<Analysis.Estimate> found)
    {
        var (parameters, errors) = (15.0, 15.0);
        for (var j = 0; j < found.Count; j++)
        {
            parameters = Math.Min(parameters, Of(found[j].Value, set.Estimates[j]));
            errors = Math.Min(errors, Of(found[j].StandardUncertainty, set.StandardDeviations[j]));
        }

        return new CertifiedScore(set.Name, start, parameters, errors);
    }

    private static double Of(double found, double certified)
    {
        var error = Math.Abs(found - certified);
        return error == 0 ? 15 : Math.Clamp(-Math.Log10(certified == 0 ? error : error / Math.Abs(certified)), 0, 15);
    }
}
