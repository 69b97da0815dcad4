using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Uncertainty;

/// <summary>Draws the correlated inputs of a model together.</summary>
/// <remarks>
/// Normal inputs jointly normal (JCGM 101:2008, 6.4.8); with finite degrees of freedom jointly t, the fewest of those that hang
/// together (JCGM 102:2011, 5.3.2, from memory), because readings taken together share them. Rectangular inputs keep their
/// rectangles and the correlation asked for through a normal copula: a coefficient alone does not fix how inputs go together,
/// and this is a house choice, exact at r = ± 1, the case of one meter read twice. Rectangle with rectangle: ρ = 2 sin(π r/6);
/// normal with rectangle: ρ = r √(π/3), so that no more than r = 0.977 is possible (Pearson 1907, from memory). Worked number: two
/// rectangles of half-width 1 with r = 1 have a sum that is a rectangle of half-width 2, u = 2/√3 = 1.155.
/// </remarks>
internal sealed class JointInputs
{
    private readonly MeasurementModel _model;
    private readonly int[] _inputs;
    private readonly int[] _group;
    private readonly double[] _degrees;
    private readonly double[,] _factor;
    private readonly double[] _drawn;
    private readonly double[] _widening;

    private JointInputs(MeasurementModel model, int[] inputs)
    {
        _model = model;
        _inputs = inputs;
        _group = model.Matrix.Groups();
        _degrees = Degrees(model, inputs, _group);
        foreach (var i in inputs)
            Check(i);
        _factor = model.Matrix.Mapped(NormalCorrelation).Cholesky(model.Measurand);
        _drawn = new double[inputs.Length];
        _widening = new double[model.Inputs.Count];
    }

    /// <summary>The correlated inputs of a model, or null when it has none.</summary>
    /// <exception cref="ArgumentException">Shapes that cannot be drawn with the correlation asked for; the message says what to do.</exception>
    public static JointInputs? Of(MeasurementModel model)
    {
        int[] joint = [.. Enumerable.Range(0, model.Inputs.Count).Where(model.Matrix.IsCorrelated)];
        return joint.Length == 0 ? null : new(model, joint);
    }

    public bool Contains(int input) => Array.IndexOf(_inputs, input) >= 0;

    /// <summary>Turns independent standard normal deviates in a row of inputs into values of the correlated ones.</summary>
    public void Join(Span<double> row, SeededChance chance)
    {
        foreach (var i in _inputs)
        {
            if (_group[i] == i && double.IsFinite(_degrees[i]))
                _widening[i] = Math.Sqrt(_degrees[i] / chance.ChiSquared(_degrees[i]));
        }
        for (var a = 0; a < _inputs.Length; a++)
        {
            var sum = 0.0;
            for (var b = 0; b <= a; b++)
                sum += _factor[_inputs[a], _inputs[b]] * row[_inputs[b]];
            _drawn[a] = sum;
        }
        for (var a = 0; a < _inputs.Length; a++)
            row[_inputs[a]] = ValueOf(_inputs[a], _drawn[a]);
    }

    private double ValueOf(int i, double z)
    {
        var input = _model.Inputs[i];
        if (input.Distribution == Distribution.Rectangular)
            return input.Value + input.GivenAs * (2 * Normal.Cdf(z) - 1);
        var widening = double.IsFinite(_degrees[_group[i]]) ? _widening[_group[i]] : 1;
        return input.Value + input.StandardUncertainty * z * widening;
    }

    // Fewest degrees of freedom of each group, at the number of its first member.
    private static double[] Degrees(MeasurementModel model, int[] inputs, int[] group)
    {
        var degrees = new double[group.Length];
        Array.Fill(degrees, double.PositiveInfinity);
        foreach (var i in inputs)
            degrees[group[i]] = Math.Min(degrees[group[i]], model.Inputs[i].DegreesOfFreedom);
        return degrees;
    }

    private void Check(int i)
    {
        var input = _model.Inputs[i];
        var where = $"{_model.Measurand}: \"{input.Name}\" is correlated and {input.Distribution.Name()}";
        Guard.Require(
            input.Distribution is Distribution.Normal or Distribution.Rectangular,
            $"{where}; Monte Carlo draws correlated inputs only when they are normal or rectangular. Split what the inputs share into an input of its own."
        );
        Guard.Require(
            input.Distribution == Distribution.Normal || double.IsInfinity(_degrees[_group[i]]),
            $"{where}, and one it hangs together with has finite degrees of freedom; how they go together is not known. Split what they share into an input of its own."
        );
    }

    private double NormalCorrelation(int i, int j, double r)
    {
        var rectangles = (_model.Inputs[i].Distribution, _model.Inputs[j].Distribution) switch
        {
            (Distribution.Rectangular, Distribution.Rectangular) => 2,
            (Distribution.Normal, Distribution.Normal) => 0,
            _ => 1,
        };
        if (rectangles == 0)
            return r;
        var normal = rectangles == 2 ? 2 * Math.Sin(Math.PI * r / 6) : r * Math.Sqrt(Math.PI / 3);
        Guard.Require(
            Math.Abs(normal) <= 1,
            $"{_model.Measurand}: \"{_model.Inputs[i].Name}\" and \"{_model.Inputs[j].Name}\" are given r = {r}; a normal and a rectangular input reach 0.977 at most. Check the coefficient."
        );
        return normal;
    }
}
