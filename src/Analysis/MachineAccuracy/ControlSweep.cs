using LoadTest.Analysis.Regression;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.MachineAccuracy;

/// <summary>Set marks against output: monotonic, linear, dead spots, hysteresis, range.</summary>
/// <param name="Lowest">Lowest output of the sweep.</param>
/// <param name="Highest">Highest output of the sweep.</param>
/// <param name="IsMonotonic">Whether no stretch runs backwards beyond its expanded uncertainty.</param>
/// <param name="Backwards">Stretches that do.</param>
/// <param name="DeadSpots">Stretches that give less than a quarter of the output change the whole control gives there.</param>
/// <param name="Undecided">Stretches whose uncertainty is too wide to say either.</param>
/// <param name="NonlinearityPercent">Largest distance from the best straight line, percent of the output span.</param>
/// <param name="HysteresisPercent">Largest down minus up at one mark, signed, percent of the output span; null without such pairs.</param>
/// <param name="Findings">What a technician should know.</param>
public sealed record ControlSweep(
    double Lowest,
    double Highest,
    bool IsMonotonic,
    IReadOnlyList<ControlStretch> Backwards,
    IReadOnlyList<ControlStretch> DeadSpots,
    IReadOnlyList<ControlStretch> Undecided,
    double NonlinearityPercent,
    double? HysteresisPercent,
    IReadOnlyList<string> Findings
)
{
    /// <summary>Part of the usual change below which a stretch is a dead spot; house rule, no source.</summary>
    public const double DeadFraction = 0.25;

    private const double SameMark = 1e-9;

    /// <summary>Analyse a sweep.</summary>
    /// <param name="points">Points, at least three different marks; each way in any order.</param>
    /// <param name="unit">Unit of the output.</param>
    /// <param name="coverageProbability">Coverage probability for "beyond its expanded uncertainty".</param>
    /// <exception cref="ArgumentException">Too few marks, no output span, or a number that is not finite.</exception>
    /// <remarks>A stretch is dead only when its change plus U is below a quarter of the usual one, backwards only when its change
    /// plus U is below zero. Worked number: marks 0 to 10 giving 0 to 300 A, and 2 A from mark 4 to 5 with U = 1 A: 3 A is
    /// below 7.5 A, a dead spot.</remarks>
    public static ControlSweep Of(
        IReadOnlyList<ControlPoint> points,
        string unit = "A",
        double coverageProbability = Coverage.Conventional
    )
    {
        ArgumentNullException.ThrowIfNull(points);
        double[] marks = [.. points.Select(p => Guard.Finite(p.Mark, "Control sweep", "mark"))],
            outputs = [.. points.Select(p => p.Output.Value)];
        foreach (var p in points)
            Guard.Sane(p.Output, "Control sweep");
        Guard.Require(
            marks.Distinct().Count() >= 3,
            $"Control sweep: {marks.Distinct().Count()} different marks; three or more are needed."
        );
        var line = LineFit.Fit(marks, outputs);
        double span = outputs.Max() - outputs.Min(),
            // The usual change per mark, by the line; its sign is the direction the control works in.
            usual = line.Slope.Value;
        Guard.Require(span > 0 && usual != 0, "Control sweep: the output does not change with the control at all.");
        var found = new Sorted(usual, coverageProbability);
        found.Add(points, 1);
        found.Add(points, -1);
        var nonlinearity = line.Residuals.Max(Math.Abs) / span * 100;
        var hysteresis = Hysteresis(points, span);
        return new(
            outputs.Min(),
            outputs.Max(),
            found.Backwards.Count == 0,
            found.Backwards,
            found.Dead,
            found.Undecided,
            nonlinearity,
            hysteresis,
            Words(found, nonlinearity, hysteresis, unit)
        );
    }

    private static double? Hysteresis(IReadOnlyList<ControlPoint> points, double span)
    {
        double? largest = null;
        foreach (var up in points.Where(p => p.Direction > 0))
        {
            foreach (var down in points.Where(p => p.Direction < 0))
            {
                if (Math.Abs(up.Mark - down.Mark) > SameMark * (1 + Math.Abs(up.Mark)))
                    continue;
                var difference = (down.Output.Value - up.Output.Value) / span * 100;
                if (!(Math.Abs(difference) <= Math.Abs(largest ?? 0)) || largest is null)
                    largest = difference;
            }
        }
        return largest;
    }

    private static List<string> Words(Sorted found, double nonlinearity, double? hysteresis, string unit)
    {
        var words = new List<string>();
        foreach (var s in found.Backwards)
            words.Add(
                $"Runs backwards from mark {Figures.Of(s.From, 4)} to {Figures.Of(s.To, 4)}: {s.Change.Value:+0.0;−0.0} {unit} on the way {Way(s)}. Look at the control's track or the remote."
            );
        foreach (var s in found.Dead)
            words.Add(
                $"Dead spot from mark {Figures.Of(s.From, 4)} to {Figures.Of(s.To, 4)}: only {s.Change.Value:+0.0;−0.0;0.0} {unit} on the way {Way(s)}."
            );
        if (found.Undecided.Count > 0)
            words.Add($"{found.Undecided.Count} stretches change too little for these meters to say more.");
        words.Add(
            $"Largest distance from a straight line {nonlinearity:0.0} % of the span"
                + (hysteresis is { } h ? $", down differs from up by {h:+0.0;−0.0;0.0} % at most." : ".")
        );
        return words;

        static string Way(ControlStretch s) => s.Direction > 0 ? "up" : "down";
    }

    /// <summary>Stretches sorted by what they are.</summary>
    private sealed class Sorted(double usual, double coverageProbability)
    {
        public List<ControlStretch> Backwards { get; } = [];

        public List<ControlStretch> Dead { get; } = [];

        public List<ControlStretch> Undecided { get; } = [];

        public void Add(IReadOnlyList<ControlPoint> points, int direction)
        {
            var way = points.Where(p => Math.Sign(p.Direction) == direction).OrderBy(p => p.Mark).ToArray();
            for (var i = 1; i < way.Length; i++)
            {
                if (way[i].Mark > way[i - 1].Mark)
                    Place(way[i - 1], way[i], direction);
            }
        }

        private void Place(ControlPoint low, ControlPoint high, int direction)
        {
            var change = Difference.Of(high.Output, low.Output, "Control sweep", "");
            var expanded = Coverage.Factor(coverageProbability, change.DegreesOfFreedom) * change.StandardUncertainty;
            var stretch = new ControlStretch(low.Mark, high.Mark, change, direction);
            // In the direction the control works: positive is right.
            var right = change.Value * Math.Sign(usual);
            var dead = DeadFraction * Math.Abs(usual) * (high.Mark - low.Mark);
            if (right + expanded < 0)
                Backwards.Add(stretch);
            else if (right + expanded < dead)
                Dead.Add(stretch);
            else if (right - expanded < dead)
                Undecided.Add(stretch);
        }
    }
}
