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
    private double[] _residuals;
    private double[] _trialResiduals;
    private double[] _jacobian;
    private double[] _trialJacobian;
    private readonly double[] _factored;
    private readonly double[] _rotated;
    private readonly double[] _triangle;
    private readonly double[] _scale;
    private readonly double[] _freeScale;
    private readonly double[] _step;
    private readonly double[] _work;
    private readonly int[] _free;
    private int _freeCount;
    private double _radius;
    private double _damping;
    private bool _polishing;

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
        _factored = new double[n * _p];
        _rotated = new double[n];
        _triangle = new double[_p * _p];
        _scale = new double[_p];
        _freeScale = new double[_p];
        _step = new double[_p];
        _work = new double[TrustStep.Room(_p)];
        _free = new int[_p];
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

                Factor(iteration == 1);
                if (_freeCount == 0)
                {
                    return End(StopReason.HeldByBounds, iteration - 1);
                }

                if (LargestCosine(squares) <= Rounding)
                {
                    return End(StopReason.GradientVanished, iteration - 1);
                }
            }

            var predicted = Propose(squares);
            var moved = problem.Evaluate(_trial, _trialResiduals, _trialJacobian);
            var next = moved ? Squares(_trialResiduals) : double.NaN;
            var actual = double.IsFinite(next) ? 1 - (next / squares) : -1;
            var length = ScaledMove();
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
            if (predicted <= (_damping == 0 ? _unseen : 1e-14) && Math.Abs(actual) <= _unseen)
            {
                return Polished(problem, StopReason.ReductionVanished, iteration);
            }

            if (_radius <= 4 * Rounding * ScaledSize() || refused > 60)
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
        _polishing = true;
        var squares = Squares(_residuals);
        var before = double.PositiveInfinity;
        for (var k = 0; k < PolishingSteps; k++)
        {
            Factor(first: false);
            _radius = double.MaxValue;
            if (_freeCount == 0 || squares == 0)
            {
                break;
            }

            Propose(squares);
            var length = ScaledMove();
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
            if (length <= Rounding * ScaledSize())
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

    // Chooses the free parameters, factors their columns and rotates the residuals.
    private void Factor(bool first)
    {
        _freeCount = 0;
        for (var j = 0; j < _p; j++)
        {
            var column = _jacobian.AsSpan(j * _n, _n);
            var norm = SmallQr.Norm(column);
            _scale[j] =
                first ? (norm == 0 ? 1 : norm)
                : _polishing ? (norm == 0 ? _scale[j] : norm)
                : Math.Max(_scale[j], norm);
            if (!Pressed(j, column))
            {
                column.CopyTo(_factored.AsSpan(_freeCount * _n));
                _freeScale[_freeCount] = _scale[j];
                _free[_freeCount++] = j;
            }
        }

        _residuals.CopyTo(_rotated, 0);
        var m = _freeCount;
        if (_n >= m)
        {
            SmallQr.Factor(_factored, _rotated, _n, m);
        }

        for (var j = 0; j < m; j++)
        {
            _factored.AsSpan(j * _n, j + 1).CopyTo(_triangle.AsSpan(j * m));
        }

        if (first)
        {
            var size = ScaledSize();
            _radius = _factor * (size == 0 ? 1 : size);
        }
    }

    private bool Pressed(int j, ReadOnlySpan<double> column)
    {
        if (_lower[j] == _upper[j])
        {
            return true;
        }

        if (_parameters[j] > _lower[j] && _parameters[j] < _upper[j])
        {
            return false;
        }

        var gradient = SmallQr.Dot(column, _residuals);
        return _parameters[j] <= _lower[j] ? gradient >= 0 : gradient <= 0;
    }

    private double LargestCosine(double squares)
    {
        var m = _freeCount;
        var largest = 0.0;
        var length = Math.Sqrt(squares);
        for (var j = 0; j < m; j++)
        {
            var column = _triangle.AsSpan(j * m, j + 1);
            var norm = SmallQr.Norm(column);
            var dot = 0.0;
            for (var i = 0; i <= j; i++)
            {
                dot += column[i] * _rotated[i];
            }

            largest = norm == 0 ? largest : Math.Max(largest, Math.Abs(dot) / (norm * length));
        }

        return largest;
    }

    // Sets the trial point and returns the fraction of the sum of squares the linear model promises to remove.
    private double Propose(double squares)
    {
        var m = _freeCount;
        var step = _step.AsSpan(0, m);
        TrustStep.Find(
            _triangle.AsSpan(0, m * m),
            _rotated.AsSpan(0, m),
            _freeScale.AsSpan(0, m),
            _radius,
            ref _damping,
            step,
            _work
        );
        _parameters.CopyTo(_trial, 0);
        for (var k = 0; k < m; k++)
        {
            var j = _free[k];
            _trial[j] = Math.Clamp(_parameters[j] + step[k], _lower[j], _upper[j]);
            step[k] = _trial[j] - _parameters[j];
        }

        var (cross, square) = (0.0, 0.0);
        for (var i = 0; i < m; i++)
        {
            var row = 0.0;
            for (var j = i; j < m; j++)
            {
                row += _triangle[(j * m) + i] * step[j];
            }

            cross += row * _rotated[i];
            square += row * row;
        }

        return -((2 * cross) + square) / squares;
    }

    private void Resize(double actual, double predicted, double length)
    {
        var ratio = predicted > 0 ? actual / predicted : 0;
        if (ratio <= 0.25)
        {
            var shrink = actual < 0 ? Math.Clamp(predicted / (2 * (predicted - actual)), 0.1, 0.5) : 0.5;
            _radius = shrink * Math.Min(_radius, length == 0 ? _radius : length * 10);
        }
        else if (_damping == 0 || ratio >= 0.75)
        {
            _radius = Math.Max(_radius, 2 * length);
        }
    }

    private double ScaledMove()
    {
        var sum = 0.0;
        for (var k = 0; k < _freeCount; k++)
        {
            var move = _freeScale[k] * _step[k];
            sum += move * move;
        }

        return Math.Sqrt(sum);
    }

    private double ScaledSize()
    {
        var sum = 0.0;
        for (var j = 0; j < _p; j++)
        {
            var size = _scale[j] * _parameters[j];
            sum += size * size;
        }

        return Math.Sqrt(sum);
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
