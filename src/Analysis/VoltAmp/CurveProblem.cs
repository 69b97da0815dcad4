using LoadTest.Analysis.Regression;

namespace LoadTest.Analysis.VoltAmp;

/// <summary>Distances of readings from a shape: least squares with errors in both axes, the feet of the readings profiled out.</summary>
/// <remarks>Equal to orthogonal distance regression (Boggs, Byrd and Schnabel, 1987): the derivative of the smallest distance to a
/// parameter is the partial derivative at the foot. For a straight line it is York's fit (2004) with adjusted points.</remarks>
internal sealed class CurveProblem(CurveShape shape, CurveShape.Reading[] readings) : IResidualProblem
{
    private readonly double[] _feet = NewFeet(readings.Length);

    public int Count => readings.Length;

    public bool Evaluate(ReadOnlySpan<double> parameters, Span<double> residuals, Span<double> jacobian)
    {
        var n = readings.Length;
        var p = parameters.Length;
        Span<double> gradient = stackalloc double[p];
        var row = jacobian.IsEmpty ? [] : gradient;
        for (var i = 0; i < n; i++)
        {
            var foot = _feet[i];
            var distance = shape.Distance(parameters, readings[i], ref foot, row);
            if (!double.IsFinite(distance))
            {
                return false;
            }

            residuals[i] = distance;
            _feet[i] = foot;
            if (!row.IsEmpty)
            {
                for (var j = 0; j < p; j++)
                {
                    jacobian[(j * n) + i] = row[j];
                }
            }
        }

        return true;
    }

    private static double[] NewFeet(int count)
    {
        var feet = new double[count];
        Array.Fill(feet, double.NaN);
        return feet;
    }
}
