namespace LoadTest.Analysis.Regression;

/// <summary>Nonlinear least squares in a region of trust, with bounds and scaling of its own.</summary>
/// <remarks>After Moré (1978). Parameters pressed against a bound are held there while the gradient presses; a step is cut at the bounds
/// and judged by what it really did. Ends with undamped steps that polish the solution to rounding. Fixed order, plain doubles.</remarks>
internal sealed class LevenbergMarquardt
{
    private const double Rounding = 2.220446049250313e-16;
    private const int PolishingSteps = 25;

    private readonly int _n;
    private readonly int _p;
    private readonly int _limit;
    private readonly double _factor;
    private readonly double _unseen;
    private readonly double[] _lower;
    private readonly double[] _upper;
    private readonly double[] _parameters;
    private readonly double[] _trial;
    private readonly LinearisedProblem _linear;
    private double[] _residuals;
    private double[] _trialResiduals;
    private double[] _jacobian;
    private double[] _trialJacobian;
    private double _radius;

    private LevenbergMarquardt(
        int n,
        double[] start,
        double[] lower,
        double[] upper,
        int limit,
        double factor,
        double unseen
    )
    {
        _n = n;
        _p = start.Length;
        _limit = limit;
        _factor = factor;
        _unseen = unseen;
        _lower = lower;
        _upper = upper;
        _parameters = start;
        _trial = new double[_p];
        _residuals = new double[n];
        _trialResiduals = new double[n];
        _jacobian = new double[n * _p];
        _trialJacobian = new double[n * _p];
        _linear = new LinearisedProblem(n, lower, upper);
    }

    /// <summary>Where the minimisation ended.</summary>
    /// <param name="Parameters">Parameters at the end.</param>
    /// <param name="Squares">Sum of squared residuals there.</param>
    /// <param name="Reason">Why it ended.</param>
    /// <param name="Iterations">Accepted and refused steps together.</param>
    /// <param name="Residuals">Residuals at the end.</param>
    /// <param name="Jacobian">Derivatives at the end, column by column.</param>
    internal readonly record struct Outcome(
        double[] Parameters,
        double Squares,
        StopReason Reason,
        int Iterations,
        double[] Residuals,
        double[] Jacobian
    );

    /// <summary>Minimises from one start.</summary>
    /// <param name="problem">Residuals and derivatives.</param>
    /// <param name="start">Starting parameters; taken over as the array of results.</param>
    /// <param name="lower">Lower bounds.</param>
    /// <param name="upper">Upper bounds.</param>
    /// <param name="iterationLimit">Most steps tried.</param>
    /// <param name="factor">First radius of trust over the scaled length of the start.</param>
    /// <param name="unseen">Fraction of the sum of squares below which an undamped step goes over to polishing.</param>
    public static Outcome Minimise<T>(
        T problem,
        double[] start,
        double[] lower,
        double[] upper,
        int iterationLimit,
        double factor = 100,
        double unseen = 1e-13
    )
        where T : IResidualProblem
    {
        var solver = new LevenbergMarquardt(problem.Count, start, lower, upper, iterationLimit, factor, unseen);
        return solver.Run(problem);
    }

    private Outcome Run<T>(T problem)
        where T : IResidualProblem
    {
        Inside(_parameters);
        if (!problem.Evaluate(_parameters, _residuals, _jacobian) || !double.IsFinite(Squares(_residuals)))
        {
            return End(StopReason.NotFiniteAtStart, 0);
        }

        var squares = Squares(_residuals);
        var refused = 0;
        for (var iteration = 1; iteration <= _limit; iteration++)
        {
            if (refused == 0)
            {
                if (squares == 0)
                {
                    return End(StopReason.ExactFit, iteration - 1);
                }

                _linear.Factor(_parameters, _residuals, _jacobian, rescale: false);
                if (iteration == 1)
                {
                    var size = _linear.ScaledSize(_parameters);
                    _radius = _factor * (size == 0 ? 1 : size);
                }

                if (_linear.FreeCount == 0)
                {
                    return End(StopReason.HeldByBounds, iteration - 1);
                }

                if (_linear.LargestCosine(squares) <= Rounding)
                {
                    return End(StopReason.GradientVanished, iteration - 1);
                }
            }

            var predicted = _linear.Propose(_parameters, _trial, squares, _radius);
            var moved = problem.Evaluate(_trial, _trialResiduals, _trialJacobian);
            var next = moved ? Squares(_trialResiduals) : double.NaN;
            var actual = double.IsFinite(next) ? 1 - (next / squares) : -1;
            var length = _linear.ScaledMove();
            Resize(actual, predicted, length);
            if (actual >= 1e-4 * predicted && actual > 0)
            {
                Accept();
                squares = next;
                refused = 0;
            }
            else
            {
                refused++;
            }

            // What an undamped step still promises is too little for the sum of squares to show: the gradient takes over.
            if (predicted <= (_linear.IsUndamped ? _unseen : 1e-14) && Math.Abs(actual) <= _unseen)
            {
                return Polished(problem, StopReason.ReductionVanished, iteration);
            }

            if (_radius <= 4 * Rounding * _linear.ScaledSize(_parameters) || refused > 60)
            {
                return Polished(problem, StopReason.StepVanished, iteration);
            }
        }

        return End(StopReason.IterationLimit, _limit);
    }

    // Undamped steps while each is shorter than the one before: the sum of squares is flat there, the gradient is not.
    private Outcome Polished<T>(T problem, StopReason reason, int iteration)
        where T : IResidualProblem
    {
        var squares = Squares(_residuals);
        var before = double.PositiveInfinity;
        for (var k = 0; k < PolishingSteps; k++)
        {
            _linear.Factor(_parameters, _residuals, _jacobian, rescale: true);
            _radius = double.MaxValue;
            if (_linear.FreeCount == 0 || squares == 0)
            {
                break;
            }

            _linear.Propose(_parameters, _trial, squares, _radius);
            var length = _linear.ScaledMove();
            if (!(length < before) || !problem.Evaluate(_trial, _trialResiduals, _trialJacobian))
            {
                break;
            }

            var next = Squares(_trialResiduals);
            if (!(next <= squares * (1 + 1e-9)))
            {
                break;
            }

            Accept();
            squares = next;
            iteration++;
            if (length <= Rounding * _linear.ScaledSize(_parameters))
            {
                break;
            }

            before = length;
        }

        return End(reason, iteration);
    }

    private Outcome End(StopReason reason, int iterations) =>
        new(_parameters, Squares(_residuals), reason, iterations, _residuals, _jacobian);

    private void Accept()
    {
        _trial.CopyTo(_parameters, 0);
        (_residuals, _trialResiduals) = (_trialResiduals, _residuals);
        (_jacobian, _trialJacobian) = (_trialJacobian, _jacobian);
    }

    private void Resize(double actual, double predicted, double length)
    {
        var ratio = predicted > 0 ? actual / predicted : 0;
        if (ratio <= 0.25)
        {
            var shrink = actual < 0 ? Math.Clamp(predicted / (2 * (predicted - actual)), 0.1, 0.5) : 0.5;
            _radius = shrink * Math.Min(_radius, length == 0 ? _radius : length * 10);
        }
        else if (_linear.IsUndamped || ratio >= 0.75)
        {
            _radius = Math.Max(_radius, 2 * length);
        }
    }

    private void Inside(double[] parameters)
    {
        for (var j = 0; j < _p; j++)
        {
            parameters[j] = Math.Clamp(parameters[j], _lower[j], _upper[j]);
        }
    }

    private static double Squares(ReadOnlySpan<double> residuals) => SmallQr.Dot(residuals, residuals);
}
