using LoadTest.Analysis.Numerics;
using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>One shape fitted to one set of readings, and what the readings say of it.</summary>
internal sealed class CurveFit
{
    /// <summary>Chance below which stated uncertainties are no longer believed and the scatter is used instead (Birge's ratio).</summary>
    public const double ScatterRisk = 0.001;

    private double? _chance;
    private double[]? _feet;

    public CurveFit(
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
    public double UncertaintyDegrees =>
        (Set.IsKnown && !IsEnlarged) || (Degrees == 0 && Set.DigitVariance > 0) ? double.PositiveInfinity : Degrees;

    /// <summary>Factor on the unscaled covariance: 1 for stated uncertainties the readings agree with, else the scatter, never below
    /// what the last digit hides.</summary>
    public double VarianceScale =>
        Set.IsKnown && !IsEnlarged ? 1 : Math.Max(Squares / Math.Max(1, Degrees), Set.DigitVariance);

    /// <summary>Scatter of the readings over what was stated of them, or over the span where nothing was.</summary>
    public double Ratio => Math.Sqrt(Squares / Math.Max(1, Degrees));

    /// <summary>Whether the last digit hides more than the readings scatter.</summary>
    public bool IsWithinDigit => !Set.IsKnown && Squares <= Set.DigitVariance * Math.Max(1, Degrees);

    public bool IsUsable =>
        Reason is not (StopReason.IterationLimit or StopReason.NotFiniteAtStart or StopReason.HeldByBounds)
        && Unscaled.Rank == Free
        && Shape.IsPossible(Parameters)
        && Degrees >= (Set.IsKnown ? 0 : 1);

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
        var variance = Set.IsKnown ? Math.Max(1, rest) : Math.Max(rest, Set.DigitVariance);
        return variance > 0 ? internally / Math.Sqrt(variance) : 0;
    }

    /// <summary>Studentised distance beyond which a reading is far: Student's t with Bonferroni's correction.</summary>
    public double FarLimit(double risk) =>
        Degrees > 1 ? StudentT.UpperQuantile(risk / (2 * Used), Degrees - 1) : double.PositiveInfinity;

    /// <summary>Takes over how uncertainties are to be said: enlarged or not, with gains common to all readings.</summary>
    public void Follow(VoltAmpOptions options)
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

    /// <summary>Largest studentised distance of a reading, the ends of the curve excepted.</summary>
    public double Farthest()
    {
        var (first, last) = Ends();
        var largest = 0.0;
        for (var i = 0; i < Used && Degrees > 1; i++)
        {
            largest = i == first || i == last ? largest : Math.Max(largest, Math.Abs(Studentised(i)));
        }

        return largest;
    }

    /// <summary>Chance of readings keeping to one side of the curve for as long as these do, were they independent of one another.</summary>
    public double ChanceOfRuns()
    {
        var order = (double[])Feet.Clone();
        var distances = (double[])Distances.Clone();
        Array.Sort(order, distances);
        return RunsTest.ChanceOfSoFewRuns(distances);
    }

    /// <summary>The used readings nearest to open circuit and to short circuit, in the order of the load's conductance.</summary>
    public (int First, int Last) Ends()
    {
        var (first, last, used) = (0, 0, 0);
        var (low, high) = (double.PositiveInfinity, double.NegativeInfinity);
        for (var i = 0; i < Aside.Length; i++)
        {
            if (Aside[i])
            {
                continue;
            }

            var reading = Set.Readings[i];
            var angle = Math.Atan2(reading.Amperes / Set.SpanAmperes, reading.Volts / Set.SpanVolts);
            (first, low) = angle < low ? (used, angle) : (first, low);
            (last, high) = angle > high ? (used, angle) : (last, high);
            used++;
        }

        return (first, last);
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
