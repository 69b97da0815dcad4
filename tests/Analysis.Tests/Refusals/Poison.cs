using LoadTest.Analysis;

namespace LoadTest.AnalysisTests.Refusals;

/// <summary>Hands out the numbers of one call, all good but one: the slot that is poisoned, if any.</summary>
internal sealed class Poison
{
    // Missing, overloaded, and what SCPI-1999 instruments answer for overload and for "not a number".
    private static readonly double[] s_noReading =
    [
        double.NaN,
        double.PositiveInfinity,
        double.NegativeInfinity,
        9.9e37,
        -9.9e37,
        9.91e37,
    ];

    private readonly int _slot;
    private readonly int _kind;
    private readonly List<int> _kinds = [];

    private Poison(int slot, int kind) => (_slot, _kind) = (slot, kind);

    /// <summary>What was put into the poisoned slot, for messages.</summary>
    public string Given { get; private set; } = "";

    /// <summary>Every way to poison a call, found by making it once with good numbers.</summary>
    public static IEnumerable<Poison> All(Action<Poison> call)
    {
        var good = new Poison(-1, 0);
        call(good);
        for (var slot = 0; slot < good._kinds.Count; slot++)
        {
            for (var kind = 0; kind < good._kinds[slot]; kind++)
            {
                yield return new Poison(slot, kind);
            }
        }
    }

    /// <summary>A reading or a setting of any size and sign.</summary>
    public double X(double good) => Next(good, []);

    /// <summary>Something above zero.</summary>
    public double P(double good) => Next(good, [0, -1]);

    /// <summary>Something not below zero.</summary>
    public double N(double good) => Next(good, [-1]);

    /// <summary>A probability between 0 and 1.</summary>
    public double Q(double good) => Next(good, [0, 1, -0.5, 2]);

    /// <summary>A correlation.</summary>
    public double R(double good) => Next(good, [1.5, -1.5]);

    /// <summary>A number where infinity has a meaning.</summary>
    public double Open(double good) => NextOf(good, [double.NaN]);

    /// <summary>A positive number where infinity has a meaning, such as degrees of freedom.</summary>
    public double Nu(double good) => NextOf(good, [double.NaN, 0, -1]);

    /// <summary>Readings.</summary>
    public double[] Xs(params double[] good) => Array.ConvertAll(good, X);

    /// <summary>Weights or uncertainties, each above zero.</summary>
    public double[] Ps(params double[] good) => Array.ConvertAll(good, P);

    /// <summary>A value with its uncertainty.</summary>
    public Estimate E(double value, double u, double nu = 20) => new(X(value), N(u), Nu(nu));

    /// <summary>A value above zero with its uncertainty.</summary>
    public Estimate PositiveE(double value, double u, double nu = 20) => new(P(value), N(u), Nu(nu));

    private double Next(double good, ReadOnlySpan<double> further) => NextOf(good, [.. s_noReading, .. further]);

    private double NextOf(double good, double[] bad)
    {
        _kinds.Add(bad.Length);
        if (_kinds.Count - 1 != _slot)
        {
            return good;
        }

        Given = $"{bad[_kind]:R} in place of number {_slot + 1}, {good:R}";
        return bad[_kind];
    }
}
