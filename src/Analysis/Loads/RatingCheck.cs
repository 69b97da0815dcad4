namespace LoadTest.Analysis.Loads;

/// <summary>Ratings of a bank on one source, turned into the conductance each element needs beside itself to stay within them.</summary>
/// <remarks>
/// Volts of every characteristic here never rise with conductance, so "element i stays within U_i" is the same as
/// "the bank holds at least as many siemens as pull the source down to U_i".
/// </remarks>
internal sealed class RatingCheck
{
    /// <summary>Relative slack of comparisons, so that a rating met exactly counts as met.</summary>
    public const double Slack = 1e-9;

    private readonly double[] _standing;
    private readonly double[]?[] _passing = new double[ElementSet.Capacity + 1][];

    public RatingCheck(LoadBank bank, SourceCharacteristic source, SwitchingLimits limits)
    {
        if (limits.PerOperation < TimeSpan.Zero || limits.LoadOff < TimeSpan.Zero)
        {
            throw new ArgumentException(
                $"Switching takes {limits.PerOperation} and load off {limits.LoadOff}. Neither can be below zero."
            );
        }

        if (limits.MostAmperes is { } bench && !(Given.IsNumber(bench.Value) && bench.Value > 0))
        {
            throw new ArgumentException(
                $"The bench allows {bench}. That has to be a number above zero; leave it out when nothing limits it."
            );
        }

        Bank = bank;
        Source = source;
        Limits = limits;
        _standing = [.. bank.Elements.Select(e => NeededFor(e.ContinuousVolts.Value))];
        for (var index = 0; index < bank.Elements.Count; index++)
        {
            if (source.Ceiling.Value <= bank.Elements[index].VoltsFor(limits.LoadOff).Value * (1 + Slack))
            {
                SurvivesCeiling = SurvivesCeiling.With(index);
            }
        }

        MostSiemens = limits.MostAmperes is { } most
            ? source.SiemensWithin(most.Value) * (1 + Slack)
            : double.PositiveInfinity;
    }

    public LoadBank Bank { get; }

    public SourceCharacteristic Source { get; }

    public SwitchingLimits Limits { get; }

    /// <summary>Elements that bear the source's ceiling until the load is off, should its control be lost.</summary>
    public ElementSet SurvivesCeiling { get; }

    /// <summary>Most conductance within the amperes of the bench.</summary>
    public double MostSiemens { get; }

    /// <summary>Siemens the bank needs for each element to stay within its continuous rating; infinity when never.</summary>
    public ReadOnlySpan<double> Standing => _standing;

    /// <summary>Siemens each element needs in states passed through by a sequence of so many operations.</summary>
    public double[] Passing(int operations) =>
        _passing[operations] ??= [
            .. Bank.Elements.Select(e => NeededFor(e.VoltsFor(Limits.PerOperation * operations).Value)),
        ];

    /// <summary>Whether every closed element is within its needs and the bench within its amperes.</summary>
    public bool Holds(ElementSet set, ReadOnlySpan<double> needs)
    {
        var siemens = Bank.SiemensOf(set);
        return siemens <= MostSiemens && MostNeeded(set.Mask, needs) <= siemens * (1 + Slack);
    }

    /// <summary>The greatest need among the closed elements.</summary>
    public static double MostNeeded(uint bits, ReadOnlySpan<double> needs)
    {
        double most = 0;
        for (; bits != 0; bits &= bits - 1)
        {
            most = Math.Max(most, needs[System.Numerics.BitOperations.TrailingZeroCount(bits)]);
        }

        return most;
    }

    private double NeededFor(double volts) => Source.SiemensHolding(volts * (1 + Slack));
}
