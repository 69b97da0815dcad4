namespace LoadTest.Analysis.Uncertainty;

/// <summary>Draws the inputs of a model and evaluates it, block by block.</summary>
internal sealed class InputSampler
{
    private const int BlockTrials = 128;

    private readonly MeasurementModel _model;
    private readonly SeededChance _chance;
    private readonly int _count;
    private readonly double[] _block;
    private readonly int[] _joint;
    private readonly double[,]? _factor;

    public InputSampler(MeasurementModel model, ulong seed)
    {
        _model = model;
        _chance = new SeededChance(seed);
        _count = model.Inputs.Count;
        _block = new double[BlockTrials * _count];
        _joint = [.. Enumerable.Range(0, _count).Where(model.Matrix.IsCorrelated)];
        foreach (var i in _joint)
        {
            Guard.Require(
                model.Inputs[i].Distribution == Distribution.Normal,
                $"{model.Measurand}: \"{model.Inputs[i].Name}\" is correlated and {model.Inputs[i].Distribution.Name()}; Monte Carlo draws correlated inputs only when they are normal. Split what the inputs share into an input of its own."
            );
        }
        if (_joint.Length > 0)
            _factor = model.Matrix.Cholesky(model.Measurand);
    }

    public void Fill(Span<double> y)
    {
        var function = _model.Function;
        for (var start = 0; start < y.Length; start += BlockTrials)
        {
            var trials = Math.Min(BlockTrials, y.Length - start);
            for (var i = 0; i < _count; i++)
                Draw(i, trials);
            if (_factor is not null)
                Join(trials, _factor);
            for (var t = 0; t < trials; t++)
            {
                var value = function(_block.AsSpan(t * _count, _count));
                if (!double.IsFinite(value))
                    throw new ArgumentException(
                        $"{_model.Measurand}: a trial of the Monte Carlo gives {value}. The inputs reach where the model has no value; narrow them or change the model.",
                        nameof(y)
                    );
                y[start + t] = value;
            }
        }
    }

    private void Draw(int i, int trials)
    {
        var input = _model.Inputs[i];
        var (x, u, nu) = (input.Value, input.StandardUncertainty, input.DegreesOfFreedom);
        var half = u * input.Distribution.Divisor();
        var isExact = double.IsInfinity(nu);
        switch (input.Distribution)
        {
            case Distribution.Normal when _factor is not null && Array.IndexOf(_joint, i) >= 0:
                Each(i, trials, 0, 1, static c => c.Normal());
                break;
            case Distribution.Normal when isExact:
                Each(i, trials, x, u, static c => c.Normal());
                break;
            case Distribution.Normal:
                Each(i, trials, x, u, c => c.StudentT(nu));
                break;
            case Distribution.Rectangular when isExact:
                Each(i, trials, x, half, static c => 2 * c.Uniform() - 1);
                break;
            case Distribution.Rectangular:
                var d = 1 / Math.Sqrt(2 * nu);
                Each(i, trials, x, half, c => (1 + d * (2 * c.Uniform() - 1)) * (2 * c.Uniform() - 1));
                break;
            case Distribution.Triangular:
                Each(i, trials, x, half, static c => c.Uniform() - c.Uniform());
                break;
            default:
                Each(i, trials, x, half, static c => Math.Sin(Math.PI * (2 * c.Uniform() - 1)));
                break;
        }
    }

    private void Each(int i, int trials, double middle, double scale, Func<SeededChance, double> draw)
    {
        for (int t = 0, at = i; t < trials; t++, at += _count)
            _block[at] = middle + scale * draw(_chance);
    }

    private void Join(int trials, double[,] factor)
    {
        var joint = new double[_joint.Length];
        for (var t = 0; t < trials; t++)
        {
            var row = _block.AsSpan(t * _count, _count);
            for (var a = 0; a < _joint.Length; a++)
            {
                var sum = 0.0;
                for (var b = 0; b <= a; b++)
                    sum += factor[_joint[a], _joint[b]] * row[_joint[b]];
                var input = _model.Inputs[_joint[a]];
                joint[a] = input.Value + input.StandardUncertainty * sum;
            }
            for (var a = 0; a < _joint.Length; a++)
                row[_joint[a]] = joint[a];
        }
    }
}
