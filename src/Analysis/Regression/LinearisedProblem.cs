namespace LoadTest.Analysis.Regression;

/// <summary>The least-squares problem made linear at one point, in the parameters no bound holds there.</summary>
/// <remarks>Keeps the scale of each parameter (the largest norm its column had, Moré 1978) and the damping of the step before.</remarks>
internal sealed class LinearisedProblem
{
    private readonly int _n;
    private readonly int _p;
    private readonly double[] _lower;
    private readonly double[] _upper;
    private readonly double[] _factored;
    private readonly double[] _rotated;
    private readonly double[] _triangle;
    private readonly double[] _scale;
    private readonly double[] _freeScale;
    private readonly double[] _step;
    private readonly double[] _work;
    private readonly int[] _free;
    private double _damping;
    private bool _fresh = true;

    public LinearisedProblem(int n, double[] lower, double[] upper)
    {
        _n = n;
        _p = lower.Length;
        _lower = lower;
        _upper = upper;
        _factored = new double[n * _p];
        _rotated = new double[n];
        _triangle = new double[_p * _p];
        _scale = new double[_p];
        _freeScale = new double[_p];
        _step = new double[_p];
        _work = new double[TrustStep.Room(_p)];
        _free = new int[_p];
    }

    /// <summary>Number of parameters no bound holds.</summary>
    public int FreeCount { get; private set; }

    /// <summary>Whether the step proposed last was the whole of Gauss and Newton's.</summary>
    public bool IsUndamped => _damping == 0;

    /// <summary>Chooses the free parameters, factors their columns and rotates the residuals.</summary>
    /// <param name="parameters">Where the problem is linearised.</param>
    /// <param name="residuals">Residuals there.</param>
    /// <param name="jacobian">Derivatives there, column by column.</param>
    /// <param name="rescale">Whether scales follow the columns down as well as up.</param>
    public void Factor(double[] parameters, double[] residuals, double[] jacobian, bool rescale)
    {
        FreeCount = 0;
        for (var j = 0; j < _p; j++)
        {
            var column = jacobian.AsSpan(j * _n, _n);
            var norm = SmallQr.Norm(column);
            _scale[j] =
                _fresh ? (norm == 0 ? 1 : norm)
                : rescale ? (norm == 0 ? _scale[j] : norm)
                : Math.Max(_scale[j], norm);
            if (!Pressed(j, parameters[j], column, residuals))
            {
                column.CopyTo(_factored.AsSpan(FreeCount * _n));
                _freeScale[FreeCount] = _scale[j];
                _free[FreeCount++] = j;
            }
        }

        _fresh = false;
        residuals.CopyTo(_rotated, 0);
        var m = FreeCount;
        if (_n >= m)
        {
            SmallQr.Factor(_factored, _rotated, _n, m);
        }

        for (var j = 0; j < m; j++)
        {
            _factored.AsSpan(j * _n, j + 1).CopyTo(_triangle.AsSpan(j * m));
        }
    }

    /// <summary>Largest cosine between the residuals and a free column: zero at a minimum.</summary>
    public double LargestCosine(double squares)
    {
        var m = FreeCount;
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

    /// <summary>Sets the trial point, cut at the bounds.</summary>
    /// <returns>Fraction of the sum of squares the linear problem promises to remove.</returns>
    public double Propose(double[] parameters, double[] trial, double squares, double radius)
    {
        var m = FreeCount;
        var step = _step.AsSpan(0, m);
        TrustStep.Find(
            _triangle.AsSpan(0, m * m),
            _rotated.AsSpan(0, m),
            _freeScale.AsSpan(0, m),
            radius,
            ref _damping,
            step,
            _work
        );
        parameters.CopyTo(trial, 0);
        for (var k = 0; k < m; k++)
        {
            var j = _free[k];
            trial[j] = Math.Clamp(parameters[j] + step[k], _lower[j], _upper[j]);
            step[k] = trial[j] - parameters[j];
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

    /// <summary>Scaled length of the step proposed last.</summary>
    public double ScaledMove()
    {
        var sum = 0.0;
        for (var k = 0; k < FreeCount; k++)
        {
            var move = _freeScale[k] * _step[k];
            sum += move * move;
        }

        return Math.Sqrt(sum);
    }

    /// <summary>Scaled length of the parameters.</summary>
    public double ScaledSize(double[] parameters)
    {
        var sum = 0.0;
        for (var j = 0; j < _p; j++)
        {
            var size = _scale[j] * parameters[j];
            sum += size * size;
        }

        return Math.Sqrt(sum);
    }

    // On a bound and drawn beyond it.
    private bool Pressed(int j, double parameter, ReadOnlySpan<double> column, double[] residuals)
    {
        if (_lower[j] == _upper[j])
        {
            return true;
        }

        if (parameter > _lower[j] && parameter < _upper[j])
        {
            return false;
        }

        var gradient = SmallQr.Dot(column, residuals);
        return parameter <= _lower[j] ? gradient >= 0 : gradient <= 0;
    }
}
