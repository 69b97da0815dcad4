namespace LoadTest.Analysis.Uncertainty;

/// <summary>Draws the inputs of a model and evaluates it, block by block.</summary>
internal sealed class InputSampler
{
    private const int BlockTrials = 128;

    private readonly MeasurementModel _model;
    private readonly SeededChance _chance;
    private readonly int _count;
    private readonly double[] _block;
    private readonly JointInputs? _joint;

    public InputSampler(MeasurementModel model, ulong seed)
    {
        _model = model;
        _chance = new SeededChance(seed);
        _count = model.Inputs.Count;
        _block = new double[BlockTrials * _count];
        _joint = JointInputs.Of(model);
    }

    public void Fill(Span<double> y)
    {
        var function = _model.Function;
        for (var start = 0; start < y.Length; start += BlockTrials)
        {
            var trials = Math.Min(BlockTrials, y.Length - start);
            for (var i = 0; i < _count; i++)
                Draw(i, trials);
            for (var t = 0; t < trials && _joint is not null; t++)
                _joint.Join(_block.AsSpan(t * _count, _count), _chance);
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
            case var _ when _joint?.Contains(i) == true:
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
}
