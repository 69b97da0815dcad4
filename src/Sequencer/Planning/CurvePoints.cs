namespace LoadTest.Sequencer.Planning;

/// <summary>Spreads the loaded points of a volt-amp curve so that both its volts and its amperes are covered.</summary>
internal static class CurvePoints
{
    private const int Samples = 4096;

    /// <summary>Total resistances at the studs for so many points, from high to low.</summary>
    /// <param name="unit">The unit in its mode.</param>
    /// <param name="setting">Setting of the control.</param>
    /// <param name="count">Loaded points, 2 or more.</param>
    /// <param name="lowestOhms">Lowest total resistance the bench allows, Ω.</param>
    /// <returns>Empty when even the lowest resistance draws less than the machine's minimum current.</returns>
    /// <remarks>
    /// The predicted curve is walked in equal steps of conductance and cut into pieces of equal length, volts counted in
    /// open-circuit volts and amperes in the curve's largest: a flat part gets its points along the amperes, a steep part
    /// along the volts. The inner point nearest to where the curve meets the load line is moved there: what the unit does in work
    /// is measured, not read off between points. Only + − × ÷ √, so every machine plans the same points. Common practice, no source.
    /// </remarks>
    public static IReadOnlyList<double> Spread(UnitModel unit, double setting, int count, double lowestOhms)
    {
        var least = LeastSiemens(unit, setting, lowestOhms);
        var most = MostSiemens(unit, setting, lowestOhms);
        if (least >= most)
            return [];
        var (siemens, length) = Walk(unit, setting, least, most);
        var points = new double[count];
        var at = 0;
        for (var k = 0; k < count; k++)
        {
            var wanted = length[^1] * k / (count - 1);
            while (at < length.Length - 1 && length[at] < wanted)
                at++;
            points[k] = 1 / siemens[at];
        }
        if (count > 2 && OnLine(unit, setting, siemens) is { } meeting)
        {
            var inner = Enumerable.Range(1, count - 2);
            points[inner.MinBy(k => Math.Abs(1 / points[k] - siemens[meeting]))] = 1 / siemens[meeting];
        }
        return points;
    }

    // Where volts first are no more than the load line asks for, strictly within the walk; conductance rises along it.
    private static int? OnLine(UnitModel unit, double setting, double[] siemens)
    {
        for (var k = 0; k <= Samples; k++)
        {
            var amperes = unit.AmperesInto(setting, 1 / siemens[k]);
            if (amperes / siemens[k] <= unit.LoadLine.Volts(amperes))
                return k is > 0 and < Samples ? k : null;
        }
        return null;
    }

    private static (double[] Siemens, double[] Length) Walk(UnitModel unit, double setting, double least, double most)
    {
        var largest = Math.Max(unit.AmperesInto(setting, 1 / most), unit.AmperesInto(setting, 1 / least));
        var siemens = new double[Samples + 1];
        var length = new double[Samples + 1];
        var (lastVolts, lastAmperes) = (0.0, 0.0);
        for (var k = 0; k <= Samples; k++)
        {
            siemens[k] = least + (most - least) * k / Samples;
            var amperes = unit.AmperesInto(setting, 1 / siemens[k]) / largest;
            var volts = amperes * largest / siemens[k] / unit.OpenVolts(setting);
            if (k > 0)
            {
                var (du, di) = (volts - lastVolts, amperes - lastAmperes);
                length[k] = length[k - 1] + Math.Sqrt(du * du + di * di);
            }
            (lastVolts, lastAmperes) = (volts, amperes);
        }
        return (siemens, length);
    }

    /// <summary>Least conductance at which the machine's minimum current flows.</summary>
    private static double LeastSiemens(UnitModel unit, double setting, double lowestOhms)
    {
        var minimum = unit.Mode.MinimumAmperes.Value;
        return FirstSiemens(unit, setting, lowestOhms, minimum) ?? double.PositiveInfinity;
    }

    /// <summary>Most conductance the sweep goes to: the bench's, or where rated current flows if the load sets the current.</summary>
    private static double MostSiemens(UnitModel unit, double setting, double lowestOhms) =>
        unit.Mode.Characteristic == Benches.Characteristic.ConstantCurrent
            ? 1 / lowestOhms
            : FirstSiemens(unit, setting, lowestOhms, unit.Mode.RatedAmperes.Value) ?? 1 / lowestOhms;

    /// <summary>Conductance at which these amperes are first reached; amperes never fall as conductance rises.</summary>
    private static double? FirstSiemens(UnitModel unit, double setting, double lowestOhms, double amperes)
    {
        var (low, high) = (0.0, 1 / lowestOhms);
        if (unit.AmperesInto(setting, lowestOhms) < amperes)
            return null;
        for (var k = 0; k < 60; k++)
        {
            var middle = (low + high) / 2;
            if (middle > 0 && unit.AmperesInto(setting, 1 / middle) >= amperes)
                high = middle;
            else
                low = middle;
        }
        return high;
    }
}
