namespace LoadTest.Sequencer.Text;

/// <summary>The units values are held in after reading; prefixes are gone (50 mV is 0.05 volt).</summary>
public enum Unit
{
    /// <summary>A plain number.</summary>
    One,

    /// <summary>Volt, V.</summary>
    Volt,

    /// <summary>Ampere, A.</summary>
    Ampere,

    /// <summary>Ohm, Ω; resistances of loads, leads and windings.</summary>
    Ohm,

    /// <summary>Volt per ampere, V/A; ratios of shunts, written mV/A.</summary>
    VoltPerAmpere,

    /// <summary>Watt, W.</summary>
    Watt,

    /// <summary>Joule, J.</summary>
    Joule,

    /// <summary>Second, s; written s, min, h or ms.</summary>
    Second,

    /// <summary>Hertz, Hz.</summary>
    Hertz,

    /// <summary>Revolutions per minute, written rpm.</summary>
    RevolutionPerMinute,

    /// <summary>Degree Celsius, °C; a temperature.</summary>
    Celsius,

    /// <summary>Kelvin, K; a difference of temperatures.</summary>
    Kelvin,

    /// <summary>A fraction: 1 % is 0.01, 1 ppm is 1e-6.</summary>
    Fraction,

    /// <summary>Per kelvin, written ppm/K or %/K.</summary>
    PerKelvin,

    /// <summary>Metre, m; altitude.</summary>
    Metre,
}

/// <summary>A number with its unit, prefixes resolved.</summary>
/// <param name="Value">Finite value in <paramref name="Unit"/>.</param>
/// <param name="Unit">The unit.</param>
public readonly record struct Quantity(double Value, Unit Unit);
