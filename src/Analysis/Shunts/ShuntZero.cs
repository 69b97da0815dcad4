using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Zero of the unit's drop over the sweep, from the readings before and after it.</summary>
/// <remarks>
/// Meter offset and thermal EMF are read with leads on and no current and taken off, between the two readings by time; what the zero
/// moved in between is a rectangle of half its drift (JCGM 100:2008, 4.3.7). Common practice, no source. Worked number: 1 µV/K of a
/// copper–manganin joint (published) over 10 K is 10 µV, 0.02 % of 50 mV and 0.1 % at a fifth of the current; zeros of 0 before and
/// 0.010 mV after give u = 0.005/√3 = 0.0029 mV.
/// </remarks>
internal sealed class ShuntZero
{
    private readonly ZeroReading? _before;
    private readonly ZeroReading? _after;

    public ShuntZero(ZeroReading? before, ZeroReading? after)
    {
        foreach (var (reading, name) in new[] { (before, "Zero before"), (after, "Zero after") })
        {
            if (reading is not { } r)
                continue;
            Guard.Finite(r.Millivolts, name, "reading in mV");
            Guard.Finite(r.Seconds, name, "time in s");
            Guard.NotNegative(r.Scatter, name, "scatter in mV");
        }
        _before = before;
        _after = after;
    }

    /// <summary>After minus before, mV; null unless both were read.</summary>
    public double? Drift => _after?.Millivolts - _before?.Millivolts;

    /// <summary>Standard uncertainty of the zero at any point, mV: the readings' scatter and what the zero moved between them.</summary>
    public double StandardUncertainty
    {
        get
        {
            double scatter = Math.Max(_before?.Scatter ?? 0, _after?.Scatter ?? 0),
                drift = Math.Abs(Drift ?? 0) / 2 / Math.Sqrt(3);
            return Math.Sqrt(scatter * scatter + drift * drift);
        }
    }

    /// <summary>Zero at a time: linear between the two readings, the mean when they carry no time.</summary>
    public double At(double seconds)
    {
        if (_before is not { } before)
            return _after?.Millivolts ?? 0;
        if (_after is not { } after)
            return before.Millivolts;
        var span = after.Seconds - before.Seconds;
        var f = span > 0 ? Math.Clamp((seconds - before.Seconds) / span, 0, 1) : 0.5;
        return before.Millivolts + f * (after.Millivolts - before.Millivolts);
    }

    public void Report(List<string> findings)
    {
        if (_before is null && _after is null)
            findings.Add(
                "No zero reading was taken: meter offset and thermal EMF are in the offset of the line, not taken off. Read the drop with leads on and no current before and right after the sweep."
            );
        else if (_after is null || _before is null)
            findings.Add(
                $"Only one zero reading ({(_before is null ? "after" : "before")} the sweep): how far thermal EMF drifted is not known and not in the budget."
            );
    }
}
