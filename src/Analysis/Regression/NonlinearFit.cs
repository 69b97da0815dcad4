namespace LoadTest.Analysis.Regression;

/// <summary>Nonlinear least squares y = f(x; parameters) with errors in y.</summary>
/// <remarks>Trust-region Levenberg–Marquardt of our own with analytic derivatives (Moré, 1978); covariance s² (JᵀJ)⁻¹ or, for known
/// variances, (JᵀJ)⁻¹ of the weighted Jacobian. NIST StRD Misra1a: b1 238.94212918, b2 5.5015643181 × 10⁻⁴, standard deviations
/// 2.7070075241 and 7.2668688436 × 10⁻⁶ from both certified starts. It never returns a number where it has none: see
/// <see cref="CannotSay"/>.</remarks>
public sealed class NonlinearFit
{
    private static readonly double[] s_firstSteps = [100, 1, 0.1, 10];

    private readonly NonlinearModel _model;
    private readonly ParameterCovariance _unscaled;
    private readonly double _varianceScale;

    private NonlinearFit(
        NonlinearModel model,
        LevenbergMarquardt.Outcome outcome,
        NonlinearOptions options,
        bool[] held,
        int count
    )
    {
        _model = model;
        Values = outcome.Parameters;
        WeightedSquares = outcome.Squares;
        Reason = outcome.Reason;
        Iterations = outcome.Iterations;
        Variances = options.Variances;
        Count = count;
        HeldByBound = held;
        var free = held.Count(h => !h);
        ResidualDegrees = count - free;
        ResidualStandardDeviation = ResidualDegrees > 0 ? Math.Sqrt(WeightedSquares / ResidualDegrees) : 0;
        _unscaled = ParameterCovariance.Of(outcome.Jacobian, count, Values.Count, held);
        Condition = _unscaled.Condition;
        Rank = _unscaled.Rank;
        CannotSay = Doubt(free);
        _varianceScale = options.Variances == VarianceBasis.Known ? 1 : WeightedSquares / Math.Max(1, ResidualDegrees);
        var degrees = options.Variances == VarianceBasis.Known ? double.PositiveInfinity : ResidualDegrees;
        Parameters = CannotSay is null
            ? [.. Values.Select((v, i) => new Estimate(v, Math.Sqrt(_varianceScale * _unscaled[i, i]), degrees))]
            : null;
    }

    /// <summary>Parameters where the descent ended, whether or not they can be answered for.</summary>
    public IReadOnlyList<double> Values { get; }

    /// <summary>Parameters with uncertainties; null when <see cref="CannotSay"/> says why. A held parameter has uncertainty zero.</summary>
    public IReadOnlyList<Estimate>? Parameters { get; }

    /// <summary>Why no uncertainty can be given, in words; null when it can.</summary>
    public string? CannotSay { get; }

    /// <summary>Why the descent ended.</summary>
    public StopReason Reason { get; }

    /// <summary>Whether the descent ended at a minimum.</summary>
    public bool IsConverged =>
        Reason is not (StopReason.IterationLimit or StopReason.NotFiniteAtStart or StopReason.HeldByBounds);

    /// <summary>Steps tried in the descent that won.</summary>
    public int Iterations { get; }

    /// <summary>Weighted sum of squared residuals.</summary>
    public double WeightedSquares { get; }

    /// <summary>√(weighted squares / residual degrees of freedom).</summary>
    public double ResidualStandardDeviation { get; }

    /// <summary>Observations less free parameters.</summary>
    public int ResidualDegrees { get; }

    /// <summary>Number of observations.</summary>
    public int Count { get; }

    /// <summary>How the uncertainties were scaled.</summary>
    public VarianceBasis Variances { get; }

    /// <summary>Condition number of the column-scaled Jacobian in the 1-norm.</summary>
    public double Condition { get; }

    /// <summary>Number of parameters the data can tell apart.</summary>
    public int Rank { get; }

    /// <summary>Which parameters ended on a bound.</summary>
    public IReadOnlyList<bool> HeldByBound { get; }

    /// <summary>Covariance of two parameters.</summary>
    /// <exception cref="InvalidOperationException">The fit cannot say.</exception>
    public double Covariance(int i, int j) =>
        CannotSay is null ? _varianceScale * _unscaled[i, j] : throw new InvalidOperationException(CannotSay);

    /// <summary>Height of the curve at x with its standard uncertainty, linearised.</summary>
    /// <exception cref="InvalidOperationException">The fit cannot say.</exception>
    public Estimate Predict(params ReadOnlySpan<double> x)
    {
        if (CannotSay is not null)
        {
            throw new InvalidOperationException(CannotSay);
        }

        FitInput.RequireFinite(x, nameof(x));
        var p = Values.Count;
        Span<double> gradient = stackalloc double[p];
        var value = _model(x, [.. Values], gradient);
        var variance = 0.0;
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < p; j++)
            {
                variance += gradient[i] * gradient[j] * _unscaled[i, j];
            }
        }

        var degrees = Variances == VarianceBasis.Known ? double.PositiveInfinity : ResidualDegrees;
        return new Estimate(value, Math.Sqrt(Math.Max(0, variance) * _varianceScale), degrees);
    }

    /// <summary>Fits the model from a start.</summary>
    /// <param name="model">Model with analytic derivatives.</param>
    /// <param name="x">Predictors, <see cref="NonlinearOptions.Predictors"/> per observation, observation by observation.</param>
    /// <param name="y">Observations.</param>
    /// <param name="start">Starting parameters, strictly inside any bounds for best results.</param>
    /// <param name="options">Weights, variance basis, bounds and limits.</param>
    /// <exception cref="ArgumentException">Values not finite, lengths that disagree, bounds crossed, or too few observations.</exception>
    public static NonlinearFit Fit(
        NonlinearModel model,
        ReadOnlySpan<double> x,
        ReadOnlySpan<double> y,
        ReadOnlySpan<double> start,
        NonlinearOptions? options = null
    )
    {
        ArgumentNullException.ThrowIfNull(model);
        options ??= new NonlinearOptions();
        var p = start.Length;
        FitInput.RequireCount(p, 1, "A model");
        FitInput.RequireCount(y.Length, options.Variances == VarianceBasis.Known ? p : p + 1, "This model");
        FitInput.RequireSameLength(y.Length * options.Predictors, x.Length, nameof(x));
        FitInput.RequireFinite(x, nameof(x));
        FitInput.RequireFinite(y, nameof(y));
        FitInput.RequireFinite(start, nameof(start));
        if (options.Weights is not null)
        {
            FitInput.RequireWeights(options.Weights, y.Length, "weights");
        }

        var lower = Bounds(options.Lower, p, double.NegativeInfinity, "lower");
        var upper = Bounds(options.Upper, p, double.PositiveInfinity, "upper");
        for (var j = 0; j < p; j++)
        {
            if (!(lower[j] <= upper[j]))
            {
                throw new ArgumentException(
                    $"Parameter {j + 1}: lower bound {Figures.Of(lower[j], 6)} is not at or below upper bound {Figures.Of(upper[j], 6)}.",
                    nameof(options)
                );
            }
        }

        var problem = new ModelProblem(model, x.ToArray(), y.ToArray(), options);
        var best = Descend(problem, start, lower, upper, options);
        var held = new bool[p];
        for (var j = 0; j < p; j++)
        {
            held[j] = best.Parameters[j] == lower[j] || best.Parameters[j] == upper[j];
        }

        return new NonlinearFit(model, best, options, held, y.Length);
    }

    private static LevenbergMarquardt.Outcome Descend(
        ModelProblem problem,
        ReadOnlySpan<double> start,
        double[] lower,
        double[] upper,
        NonlinearOptions options
    )
    {
        LevenbergMarquardt.Outcome? best = null;
        for (var trial = 0; trial < Math.Clamp(options.Descents, 1, s_firstSteps.Length); trial++)
        {
            var found = LevenbergMarquardt.Minimise(
                problem,
                start.ToArray(),
                lower,
                upper,
                options.IterationLimit,
                s_firstSteps[trial]
            );
            if (best is not { } kept || Better(found, kept))
            {
                best = found;
            }
        }

        return best!.Value;
    }

    private static bool Better(LevenbergMarquardt.Outcome found, LevenbergMarquardt.Outcome kept)
    {
        var finished = found.Reason is not (StopReason.IterationLimit or StopReason.NotFiniteAtStart);
        var keptFinished = kept.Reason is not (StopReason.IterationLimit or StopReason.NotFiniteAtStart);
        return finished == keptFinished ? found.Squares < kept.Squares * (1 - 1e-9) : finished;
    }

    private static double[] Bounds(double[]? given, int p, double none, string name)
    {
        if (given is null)
        {
            var open = new double[p];
            Array.Fill(open, none);
            return open;
        }

        FitInput.RequireSameLength(p, given.Length, name);
        return given;
    }

    private string? Doubt(int free)
    {
        if (!IsConverged)
        {
            return Reason switch
            {
                StopReason.IterationLimit =>
                    $"No minimum after {Iterations} steps. Start nearer, or choose another model.",
                StopReason.NotFiniteAtStart => "The model has no finite value at the start. Choose another start.",
                _ => "Every parameter is held by a bound. Widen the bounds.",
            };
        }

        if (Rank < free)
        {
            return $"The data tell only {Rank} of {free} parameters apart (condition {Figures.Of(Condition, 3)}). Measure over a wider range, or choose a simpler model.";
        }

        return null;
    }

    private sealed class ModelProblem(NonlinearModel model, double[] x, double[] y, NonlinearOptions options)
        : IResidualProblem
    {
        private readonly double[]? _roots = options.Weights?.Select(Math.Sqrt).ToArray();
        private readonly int _predictors = options.Predictors;

        public int Count => y.Length;

        public bool Evaluate(ReadOnlySpan<double> parameters, Span<double> residuals, Span<double> jacobian)
        {
            var n = y.Length;
            Span<double> gradient = stackalloc double[parameters.Length];
            for (var i = 0; i < n; i++)
            {
                var row = jacobian.IsEmpty ? [] : gradient;
                var value = model(x.AsSpan(i * _predictors, _predictors), parameters, row);
                var root = _roots is null ? 1 : _roots[i];
                var residual = root * (value - y[i]);
                if (!double.IsFinite(residual))
                {
                    return false;
                }

                residuals[i] = residual;
                for (var j = 0; j < row.Length; j++)
                {
                    if (!double.IsFinite(row[j]))
                    {
                        return false;
                    }

                    jacobian[(j * n) + i] = root * row[j];
                }
            }

            return true;
        }
    }
}
