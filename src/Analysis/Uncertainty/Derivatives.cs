namespace LoadTest.Analysis.Uncertainty;

/// <summary>Partial derivatives of a model by differences on the scale of its inputs' uncertainties.</summary>
internal static class Derivatives
{
    private const int Rows = 8;
    private const double Shrink = 1.6;
    private const double Part = 0.125;

    /// <summary>∂f/∂x_i by central differences extrapolated to step zero.</summary>
    /// <remarks>Ridders, Adv. Eng. Software 4 (1982) (from memory): the tableau is left where its error estimate is least.</remarks>
    public static double First(ModelFunction model, double[] at, int i, double u)
    {
        var x = (double[])at.Clone();
        var step = u > 0 ? 2 * u : Math.Max(Math.Abs(at[i]), 1) * 1e-3;
        var table = new double[Rows, Rows];
        double best = 0,
            error = double.PositiveInfinity;
        for (var row = 0; row < Rows; row++)
        {
            table[row, 0] = Central(model, x, i, step);
            if (row == 0)
                best = table[0, 0];
            var factor = 1.0;
            for (var column = 1; column <= row; column++)
            {
                factor *= Shrink * Shrink;
                table[row, column] = (table[row, column - 1] * factor - table[row - 1, column - 1]) / (factor - 1);
                var estimate = Math.Max(
                    Math.Abs(table[row, column] - table[row, column - 1]),
                    Math.Abs(table[row, column] - table[row - 1, column - 1])
                );
                if (estimate <= error)
                    (error, best) = (estimate, table[row, column]);
            }
            if (row > 0 && Math.Abs(table[row, row] - table[row - 1, row - 1]) >= 2 * error)
                break;
            step /= Shrink;
        }
        return best;
    }

    private static double Central(ModelFunction model, double[] x, int i, double step)
    {
        var middle = x[i];
        double above = middle + step,
            below = middle - step;
        x[i] = above;
        var high = model(x);
        x[i] = below;
        var low = model(x);
        x[i] = middle;
        return (high - low) / (above - below);
    }

    /// <summary>f_ij·u_i·u_j and f_ijj·u_i·u_j² by central differences of a small part of the uncertainties.</summary>
    /// <remarks>An eighth: small enough that the next term is below 2 % of itself, large enough to keep the digits of a third difference.</remarks>
    public static (double Second, double Third) Scaled(ModelFunction model, double[] at, double[] u, int i, int j)
    {
        var x = (double[])at.Clone();
        if (i == j)
        {
            double up = F(1, 0),
                down = F(-1, 0);
            return (
                (up - 2 * F(0, 0) + down) / (Part * Part),
                (F(2, 0) - 2 * up + 2 * down - F(-2, 0)) / (2 * Part * Part * Part)
            );
        }
        double pp = F(1, 1),
            pm = F(1, -1),
            mp = F(-1, 1),
            mm = F(-1, -1);
        return (
            (pp - pm - mp + mm) / (4 * Part * Part),
            (pp - 2 * F(1, 0) + pm - (mp - 2 * F(-1, 0) + mm)) / (2 * Part * Part * Part)
        );

        double F(int a, int b)
        {
            x[i] = at[i] + a * Part * u[i];
            if (i != j)
                x[j] = at[j] + b * Part * u[j];
            return model(x);
        }
    }
}
