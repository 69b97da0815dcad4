using LoadTest.Analysis.Quantities;
using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>What is stamped on a shunt: rated current, rated drop, class index.</summary>
public sealed record ShuntRating
{
    /// <summary>A rating.</summary>
    /// <param name="ratedAmperes">Rated current, A, above zero.</param>
    /// <param name="ratedMillivolts">Rated drop, mV, above zero.</param>
    /// <param name="classIndex">Accuracy class index in percent (IEC 60051-8), above zero; null when none is marked.</param>
    /// <exception cref="ArgumentException">A number not finite or not above zero.</exception>
    public ShuntRating(double ratedAmperes, double ratedMillivolts, double? classIndex = null)
    {
        RatedAmperes = Guard.Positive(ratedAmperes, "Shunt", "rated current in A");
        RatedMillivolts = Guard.Positive(ratedMillivolts, "Shunt", "rated drop in mV");
        ClassIndex = classIndex is { } index ? Guard.Positive(index, "Shunt", "class index in %") : null;
    }

    /// <summary>Rated current, A.</summary>
    public double RatedAmperes { get; }

    /// <summary>Rated drop between the sense terminals at rated current, mV.</summary>
    public double RatedMillivolts { get; }

    /// <summary>Accuracy class index, percent; null when none is marked.</summary>
    public double? ClassIndex { get; }

    /// <summary>Rated ratio, mV/A. 500 A / 50 mV is 0.1 mV/A.</summary>
    public double RatedRatio => RatedMillivolts / RatedAmperes;

    /// <summary>Resistance between the sense terminals at the rated ratio. 500 A / 50 mV is 100 µΩ.</summary>
    public Ohms Resistance => new(RatedRatio * 1e-3);

    /// <summary>Power turned into heat at a current. 500 A / 50 mV at 500 A is 25 W.</summary>
    /// <param name="amperes">Current, A.</param>
    public Watts PowerAt(double amperes) =>
        new(Guard.Finite(amperes, "Shunt", "current in A") * amperes * Resistance.Value);

    /// <summary>Current by the rated ratio, A, with the sign of the drop. 30 mV on 500 A / 60 mV is 250 A.</summary>
    /// <param name="millivolts">Drop, mV, finite.</param>
    public double AmperesFrom(double millivolts) => Guard.Finite(millivolts, "Shunt", "drop in mV") / RatedRatio;

    /// <summary>Drop by the rated ratio, mV, with the sign of the current.</summary>
    /// <param name="amperes">Current, A, finite.</param>
    public double MillivoltsAt(double amperes) => Guard.Finite(amperes, "Shunt", "current in A") * RatedRatio;
}
