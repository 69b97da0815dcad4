using LoadTest.Analysis.Decision;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.MachineAccuracy;

/// <summary>One point of an accuracy test: what was set, what the machine shows, what flows.</summary>
/// <param name="Set">Set value; u from how well the mark is read.</param>
/// <param name="Indicated">Value on the machine's own meter; null when it has none or none was read.</param>
/// <param name="Actual">Value by the bench's meters.</param>
public readonly record struct AccuracyPoint(Estimate Set, Estimate? Indicated, Estimate Actual);

/// <summary>One point judged against its grade's limit.</summary>
/// <param name="Point">Index of the point, from 0.</param>
/// <param name="Quantity">Set or indicated.</param>
/// <param name="Error">Set or indicated minus actual, with u.</param>
/// <param name="Limit">Row of the table; null when the grade has none here.</param>
/// <param name="Judgement">Verdict on the error.</param>
public sealed record AccuracyJudgement(
    int Point,
    AccuracyQuantity Quantity,
    Estimate Error,
    GradeLimit? Limit,
    Judgement Judgement
);

/// <summary>Accuracy of a machine's setting and indication by grade, at each point and as a whole.</summary>
/// <param name="Grade">The grade it was held against.</param>
/// <param name="Judgements">Set, then indicated, in the order of the points.</param>
/// <param name="Overall">The verdict as a whole.</param>
/// <param name="Status">Where the limits come from, each once.</param>
public sealed record AccuracyStatement(
    string Grade,
    IReadOnlyList<AccuracyJudgement> Judgements,
    Overall Overall,
    IReadOnlyList<string> Status
)
{
    /// <summary>Judge a machine's points by grade.</summary>
    /// <param name="points">Points, at least one; five are usual: minimum, maximum and three between.</param>
    /// <param name="maximum">Maximum setting, above zero, in the unit of the points.</param>
    /// <param name="grade">Name of the grade.</param>
    /// <param name="grades">Table of grades.</param>
    /// <param name="rule">Decision rule.</param>
    /// <param name="unit">Unit of the points.</param>
    /// <param name="coverageProbability">Coverage probability of U.</param>
    /// <exception cref="ArgumentException">No point, an unknown grade, or a number out of its range.</exception>
    /// <remarks>Error of indication is reading minus reference. A limit of a part of the actual value is taken at the measured one.
    /// Worked number: set 200, actual 184 A of 400 A maximum is an error of +16 A with ± 18.4 A allowed in the standard grade.</remarks>
    public static AccuracyStatement Of(
        IReadOnlyList<AccuracyPoint> points,
        double maximum,
        string grade,
        AccuracyGrades grades,
        DecisionRule rule,
        string unit = "A",
        double coverageProbability = Coverage.Conventional
    )
    {
        ArgumentNullException.ThrowIfNull(points);
        ArgumentNullException.ThrowIfNull(grades);
        Guard.Require(points.Count > 0, "Machine accuracy: no point. Give at least one.");
        Guard.Positive(maximum, "Machine accuracy", "maximum setting");
        Guard.Require(
            grades.Limits.Any(l => string.Equals(l.Grade, grade, StringComparison.Ordinal)),
            $"Machine accuracy: the table has no grade \"{grade}\"; it has {string.Join(", ", grades.Limits.Select(l => l.Grade).Distinct(StringComparer.Ordinal))}."
        );
        var judged = new List<AccuracyJudgement>();
        foreach (var quantity in (AccuracyQuantity[])[AccuracyQuantity.Set, AccuracyQuantity.Indicated])
        {
            for (var i = 0; i < points.Count; i++)
            {
                var shown = quantity == AccuracyQuantity.Set ? points[i].Set : points[i].Indicated;
                if (shown is { } value)
                    judged.Add(One(i, quantity, value));
            }
        }
        var overall = Overall.Of([
            .. judged.Select(j => new JudgedItem($"{Name(j.Quantity)} at point {j.Point + 1}", j.Judgement.Verdict)),
        ]);
        var status = judged.Select(j => j.Limit?.Status).OfType<string>().Distinct(StringComparer.Ordinal);
        return new(grade, judged, overall, [.. status]);

        AccuracyJudgement One(int i, AccuracyQuantity quantity, Estimate value)
        {
            var actual = points[i].Actual;
            var error = Difference.Of(value, actual, Name(quantity), unit);
            var part = points[i].Set.Value / maximum;
            if (grades.Find(grade, quantity, part) is not { } limit)
                return new(
                    i,
                    quantity,
                    error,
                    null,
                    Conformity.NotTested(
                        ToleranceLimit.PlusMinus(0, 0, unit),
                        $"grade \"{grade}\" has no limit for {Name(quantity)} at {part * 100:0.#} % of maximum."
                    )
                );
            var allowed = ToleranceLimit.PlusMinus(0, limit.HalfWidth(actual.Value, maximum), unit);
            var k = Coverage.Factor(coverageProbability, error.DegreesOfFreedom);
            return new(i, quantity, error, limit, Conformity.Judge(error, k, allowed, rule));
        }
    }

    private static string Name(AccuracyQuantity quantity) =>
        quantity == AccuracyQuantity.Set ? "set against actual" : "indicated against actual";
}
