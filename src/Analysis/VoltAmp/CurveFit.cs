using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>One shape fitted to one set of readings, readings far from it set aside one at a time.</summary>
internal sealed class CurveFit
{
    /// <summary>Probability, over all points together, of setting a good reading aside.</summary>
    private const double SetAsideRisk = 0.005;

    /// <summary>Chance below which stated uncertainties are no longer believed and the scatter is used instead (Birge's ratio).</summary>
    private const double ScatterRisk = 0.001;

    private double? _chance;
    private double[]? _feet;

    private CurveFit(
        VoltAmpModel model,
        CurveShape shape,
        ReadingSet set,
        LevenbergMarquardt.Outcome outcome,
        bool[] aside
    )
    {
        Model = model;
        Shape = shape;
        Set = set;
        Parameters = outcome.Parameters;
        Squares = outcome.Squares;
        Reason = outcome.Reason;
        Iterations = outcome.Iterations;
        Distances = outcome.Residuals;
        Jacobian = outcome.Jacobian;
        Aside = aside;
        Used = outcome.Residuals.Length;
        Held = HeldOf(shape, outcome.Parameters);
        Free = shape.Count - Held.Count(h => h);
        Unscaled = ParameterCovariance.Of(outcome.Jacobian, Used, shape.Count, Held);
    }

    public VoltAmpModel Model { get; }

    public CurveShape Shape { get; }

    public ReadingSet Set { get; }

    public double[] Parameters { get; }

    /// <summary>Sum of squared distances of the readings used.</summary>
    public double Squares { get; }

    public StopReason Reason { get; }

    public int Iterations { get; }

    /// <summary>Distances of the readings used, in their order.</summary>
    public double[] Distances { get; }

    public double[] Jacobian { get; }

    /// <summary>Running coordinates of the curve points nearest to the readings used.</summary>
    public double[] Feet => _feet ??= FeetOf();

    /// <summary>Which of all readings were set aside.</summary>
    public bool[] Aside { get; }

    public int Used { get; }

    public bool[] Held { get; }

    public int Free { get; }

    public ParameterCovariance Unscaled { get; }

    public int AsideCount => Aside.Length - Used;

    public int Degrees => Used - Free;

    /// <summary>Probability of scatter this large by chance; null without stated uncertainties or spare readings.</summary>
    public double? ChanceOfScatter =>
        Set.IsKnown && Degrees > 0 ? _chance ??= ChiSquared.UpperTail(Squares, Degrees) : null;

    /// <summary>Whether the readings scatter more than their stated uncertainties allow.</summary>
    public bool ScattersTooMuch => Squares > Degrees && ChanceOfScatter < ScatterRisk;

    /// <summary>Whether the stated uncertainties are enlarged to the scatter.</summary>
    public bool IsEnlarged => Enlarges && ScattersTooMuch;

    private bool Enlarges { get; set; } = true;

    private double[] VoltsGain { get; set; } = [];

    private double[] AmperesGain { get; set; } = [];

    /// <summary>Covariance of two parameters: that of the fit and that of the gains common to all readings.</summary>
    public double Covariance(int i, int j)
    {
        var covariance = VarianceScale * Unscaled[i, j];
        covariance += VoltsGain.Length > 0 ? VoltsGain[i] * VoltsGain[j] : 0;
        covariance += AmperesGain.Length > 0 ? AmperesGain[i] * AmperesGain[j] : 0;
        return covariance;
    }

    /// <summary>Degrees of freedom of every uncertainty taken from this fit.</summary>
    public double UncertaintyDegrees => Set.IsKnown && !IsEnlarged ? double.PositiveInfinity : Degrees;

    /// <summary>Factor on the unscaled covariance: 1 for stated uncertainties the readings agree with, else the scatter.</summary>
    public double VarianceScale => Set.IsKnown && !IsEnlarged ? 1 : Squares / Math.Max(1, Degrees);

    public bool IsUsable =>
        Reason is not (StopReason.IterationLimit or StopReason.NotFiniteAtStart or StopReason.HeldByBounds)
        && Unscaled.Rank == Free
        && Degrees >= (Set.IsKnown ? 0 : 1);

    /// <summary>Fits a shape; null when the points are too few or bend nowhere.</summary>
    public static CurveFit? Of(VoltAmpModel model, ReadingSet set, VoltAmpOptions options)
    {
        if (set.Readings.Length < Needed(model, set.IsKnown))
        {
            return null;
        }

        var start = options.Start;
        if (!TryStart(model, set, start, out var shape, out var parameters))
        {
            return null;
        }

        var aside = new bool[set.Readings.Length];
        var fit = First(model, shape, set, parameters, aside, widths: start is null);
        fit.Follow(options);
        var most = options.SetOutliersAside ? set.Readings.Length / 5 : 0;
        for (var k = 0; k < most && fit.IsUsable; k++)
        {
            var worst = fit.Worst();
            if (worst < 0)
            {
                break;
            }

            fit = fit.Without(worst, start);
            fit.Follow(options);
        }

        return fit;
    }

    /// <summary>Fewest readings the shape can answer for.</summary>
    public static int Needed(VoltAmpModel model, bool known) =>
        model switch
        {
            VoltAmpModel.SharpKnee => known ? 4 : 5,
            VoltAmpModel.RoundedKnee => known ? 5 : 6,
            _ => known ? 2 : 3,
        };

    /// <summary>Share a used reading has in its own fitted point, 0 to 1.</summary>
    public double Leverage(int used)
    {
        var p = Shape.Count;
        var sum = 0.0;
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < p; j++)
            {
                sum += Jacobian[(i * Used) + used] * Unscaled[i, j] * Jacobian[(j * Used) + used];
            }
        }

        return Math.Clamp(sum, 0, 1);
    }

    /// <summary>Distance of a used reading over the spread it should have, judged by all the others (externally studentised).</summary>
    public double Studentised(int used)
    {
        var room = 1 - Leverage(used);
        if (room < 1e-9)
        {
            return 0;
        }

        var internally = Distances[used] / Math.Sqrt(room);
        var rest = Degrees > 1 ? Math.Max(0, (Squares - (internally * internally)) / (Degrees - 1)) : 0;
        var variance = Set.IsKnown ? Math.Max(1, rest) : rest;
        return variance > 0 ? internally / Math.Sqrt(variance) : 0;
    }

    /// <summary>Studentised distance beyond which a reading is far: Student's t with Bonferroni's correction.</summary>
    public double FarLimit(double risk) =>
        Degrees > 1 ? StudentT.UpperQuantile(risk / (2 * Used), Degrees - 1) : double.PositiveInfinity;

    private void Follow(VoltAmpOptions options)
    {
        Enlarges = options.EnlargeForScatter;
        VoltsGain = GainOf(options.CommonVoltsGain, ofVolts: true);
        AmperesGain = GainOf(options.CommonAmperesGain, ofVolts: false);
    }

    private double[] GainOf(double gain, bool ofVolts)
    {
        if (gain == 0)
        {
            return [];
        }

        var effect = new double[Shape.Count];
        Shape.GainEffect(Parameters, ofVolts, effect);
        return Array.ConvertAll(effect, e => gain * e);
    }

    private int Worst()
    {
        if (Degrees < 3 || Squares <= 1e-24 * Used)
        {
            return -1;
        }

        var (worst, largest) = (-1, 0.0);
        var (first, last) = Ends();
        for (var i = 0; i < Used; i++)
        {
            if (i == first || i == last)
            {
                continue;
            }

            var size = Math.Abs(Studentised(i));
            if (size > largest)
            {
                (worst, largest) = (i, size);
            }
        }

        // A t above 4 is needed at any degrees of freedom, so the quantile is worked out only when it may matter.
        return largest > 4 && largest > FarLimit(SetAsideRisk) ? worst : -1;
    }

    // The used readings of most and of least volts: nothing beyond them tells a bad reading from a curve that bends there.
    private (int First, int Last) Ends()
    {
        var (first, last, used) = (0, 0, 0);
        var (high, low) = (double.NegativeInfinity, double.PositiveInfinity);
        for (var i = 0; i < Aside.Length; i++)
        {
            if (Aside[i])
            {
                continue;
            }

            var volts = Set.Readings[i].Volts;
            (first, high) = volts > high ? (used, volts) : (first, high);
            (last, low) = volts < low ? (used, volts) : (last, low);
            used++;
        }

        return (first, last);
    }

    private CurveFit Without(int used, double[]? start)
    {
        var aside = (bool[])Aside.Clone();
        var seen = 0;
        for (var i = 0; i < aside.Length; i++)
        {
            if (!aside[i] && seen++ == used)
            {
                aside[i] = true;
                break;
            }
        }

        var kept = Set.Readings.Where((_, i) => !aside[i]).ToArray();
        var parameters = (double[])Parameters.Clone();
        if (
            start is null
            && Set.Only(kept) is { } smaller
            && TryStart(Model, smaller, null, out var shape, out var fresh)
        )
        {
            var anew = Once(Model, shape, Set, fresh, kept, aside);
            var along = Once(Model, Shape, Set, parameters, kept, aside);
            return anew.Squares <= along.Squares ? anew : along;
        }

        return Once(Model, Shape, Set, parameters, kept, aside);
    }

    // A rounded corner is tried from nearly sharp to wide: the sum of squares has a valley for each.
    private static CurveFit First(
        VoltAmpModel model,
        CurveShape shape,
        ReadingSet set,
        double[] parameters,
        bool[] aside,
        bool widths
    )
    {
        var narrow = model == VoltAmpModel.RoundedKnee && widths ? (double[])parameters.Clone() : null;
        var wide = (double[]?)narrow?.Clone();
        var fit = Once(model, shape, set, parameters, set.Readings, aside);
        if (narrow is null || wide is null)
        {
            return fit;
        }

        narrow[4] *= 0.1;
        wide[4] *= 4;
        foreach (var from in new[] { narrow, wide })
        {
            var other = Once(model, shape, set, from, set.Readings, aside);
            var better = other.IsUsable == fit.IsUsable ? other.Squares < fit.Squares : other.IsUsable;
            fit = better ? other : fit;
        }

        return fit;
    }

    private static CurveFit Once(
        VoltAmpModel model,
        CurveShape shape,
        ReadingSet set,
        double[] parameters,
        CurveShape.Reading[] readings,
        bool[] aside
    )
    {
        var problem = new CurveProblem(shape, readings);
        var upper = new double[shape.Count];
        Array.Fill(upper, double.PositiveInfinity);
        var outcome = LevenbergMarquardt.Minimise(problem, parameters, shape.Lower, upper, 200, unseen: 1e-10);
        return new CurveFit(model, shape, set, outcome, aside);
    }

    private static bool TryStart(
        VoltAmpModel model,
        ReadingSet set,
        double[]? start,
        out CurveShape shape,
        out double[] parameters
    )
    {
        (shape, parameters) = (new BentLineShape(2, swapped: false), [0, 0]);
        switch (model)
        {
            case VoltAmpModel.StraightLine:
                parameters = start is null ? FirstGuess.Line(set) : (double[])start.Clone();
                return true;
            case VoltAmpModel.Ellipse:
                shape = new EllipseShape();
                parameters = start is null ? FirstGuess.Ellipse(set) : (double[])start.Clone();
                return true;
            default:
                var rounded = model == VoltAmpModel.RoundedKnee;
                if (start is not null)
                {
                    shape = new BentLineShape(rounded ? 5 : 4, swapped: false);
                    parameters = (double[])start.Clone();
                    return true;
                }

                if (KneeStart.Find(set) is not { } corner)
                {
                    return false;
                }

                var swapped = !set.AmperesExact && !corner.IsLevel;
                shape = new BentLineShape(rounded ? 5 : 4, swapped);
                parameters = KneeStart.Parameters(corner, set, swapped, rounded);
                return true;
        }
    }

    private double[] FeetOf()
    {
        var feet = new double[Used];
        var used = 0;
        for (var i = 0; i < Aside.Length; i++)
        {
            if (!Aside[i])
            {
                feet[used] = double.NaN;
                Shape.Distance(Parameters, Set.Readings[i], ref feet[used++], []);
            }
        }

        return feet;
    }

    private static bool[] HeldOf(CurveShape shape, double[] parameters)
    {
        var held = new bool[parameters.Length];
        for (var j = 0; j < held.Length; j++)
        {
            held[j] = parameters[j] <= shape.Lower[j];
        }

        return held;
    }
}
