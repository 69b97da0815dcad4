using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Meters;

/// <summary>What a meter is set to measure: range and aperture of one function.</summary>
internal sealed class MeterSettings(MeterWorld world)
{
    public const double LeastCycles = 0.02;
    public const double MostCycles = 100;

    private int _range = world.RangesVolts.Length - 1;

    public bool IsAutomatic { get; private set; } = true;
    public double Cycles { get; private set; } = 1;
    public double RangeVolts => world.RangesVolts[_range];
    public double LargestRange => world.RangesVolts[^1];
    public double SmallestRange => world.RangesVolts[0];

    /// <summary>What one count is worth: ten times as much below one power-line cycle, a hundred times below a tenth.</summary>
    public double CountVolts => RangeVolts / world.Counts * CountFactor(Cycles);

    /// <summary>Length of one aperture, s.</summary>
    public double ApertureSeconds => Cycles / world.LineHertz;

    /// <summary>The state CONFigure starts from: automatic range, one power-line cycle.</summary>
    public void Preset()
    {
        IsAutomatic = true;
        Cycles = 1;
        _range = world.RangesVolts.Length - 1;
    }

    /// <summary>The smallest range that holds a value; false when none does.</summary>
    public bool FixRange(double volts)
    {
        var wanted = Math.Abs(volts);
        for (var i = 0; i < world.RangesVolts.Length; i++)
        {
            // A range holds its nominal value; the last part in 10⁹ is rounding of what was sent.
            if (wanted <= world.RangesVolts[i] * (1 + 1e-9))
            {
                _range = i;
                IsAutomatic = false;
                return true;
            }
        }

        return false;
    }

    public void SetAutomatic(bool on) => IsAutomatic = on;

    public bool SetCycles(double cycles)
    {
        if (!(cycles >= LeastCycles && cycles <= MostCycles))
        {
            return false;
        }

        Cycles = cycles;
        return true;
    }

    /// <summary>Chooses the aperture a resolution needs; false when it is finer than the range's last count.</summary>
    public bool SetResolution(double volts)
    {
        var count = RangeVolts / world.Counts;
        if (!(volts >= count * (1 - 1e-9)))
        {
            return false;
        }

        Cycles = volts >= 10 * count * (1 - 1e-9) ? 0.1 : 1;
        return true;
    }

    /// <summary>In automatic ranging, the range for a value that was just seen.</summary>
    public void Follow(double volts)
    {
        if (IsAutomatic)
        {
            var seen = Math.Abs(volts);
            _range = Array.FindIndex(world.RangesVolts, range => seen <= range * 1.1);
            _range = _range < 0 ? world.RangesVolts.Length - 1 : _range;
        }
    }

    private static double CountFactor(double cycles) =>
        cycles >= 1 ? 1
        : cycles >= 0.1 ? 10
        : 100;
}
