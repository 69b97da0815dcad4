namespace LoadTest.Analysis.Uncertainty;

/// <summary>What a line of a budget comes from: a closed set. Every decision about a line is taken from this, none from its name.</summary>
public enum Component
{
    /// <summary>An input quantity of a model as such: what a handbook example or a caller of the formulas gives.</summary>
    Input,

    /// <summary>Scatter of repeated readings.</summary>
    Repeatability,

    /// <summary>Scatter of points about a fitted line or curve.</summary>
    Fit,

    /// <summary>A data sheet's limit of error as one.</summary>
    Specification,

    /// <summary>A data sheet's percent of reading: a gain that is wrong alike at all indications.</summary>
    Gain,

    /// <summary>The part of a data sheet's percent of range and counts that is alike at all indications; a zero reading takes it off.</summary>
    Offset,

    /// <summary>The part of a data sheet's percent of range that changes along the range; no zero reading takes it off.</summary>
    Linearity,

    /// <summary>A calibration certificate's uncertainty.</summary>
    Certificate,

    /// <summary>Between two points of a certificate.</summary>
    Interpolation,

    /// <summary>Beyond the outermost point of a certificate.</summary>
    Extrapolation,

    /// <summary>Limits of an accuracy class where there is no certificate.</summary>
    ClassLimit,

    /// <summary>Last digit of a display.</summary>
    Resolution,

    /// <summary>How well a person reads a scale or a mark.</summary>
    Readability,

    /// <summary>Drift since the last calibration.</summary>
    Drift,

    /// <summary>Short-term stability: what an instrument changes within a run.</summary>
    Stability,

    /// <summary>Temperature of the surroundings.</summary>
    Temperature,

    /// <summary>Temperature coefficient.</summary>
    TemperatureCoefficient,

    /// <summary>Not yet warmed up.</summary>
    WarmUp,

    /// <summary>A shunt's own heat.</summary>
    SelfHeating,

    /// <summary>Thermal EMF at sense terminals.</summary>
    ThermalEmf,

    /// <summary>Change of the zero between the readings that take it off.</summary>
    ZeroDrift,

    /// <summary>Readings compared that were not taken at one moment.</summary>
    NonSimultaneity,

    /// <summary>Ripple and common mode.</summary>
    Ripple,

    /// <summary>Leads taken off and put on again.</summary>
    Reconnection,

    /// <summary>Resistance of leads and contacts.</summary>
    Leads,

    /// <summary>The method itself: what the model leaves out.</summary>
    Method,
}

/// <summary>The one table of components: the word a budget prints for each.</summary>
public static class Components
{
    /// <summary>The component in the words of a budget.</summary>
    /// <param name="component">Any component.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value outside the enumeration.</exception>
    public static string Name(this Component component) =>
        component switch
        {
            Component.Input => "input",
            Component.Repeatability => "repeatability",
            Component.Fit => "fit",
            Component.Specification => "specification",
            Component.Gain => "gain",
            Component.Offset => "offset",
            Component.Linearity => "linearity",
            Component.Certificate => "certificate",
            Component.Interpolation => "interpolation",
            Component.Extrapolation => "extrapolation",
            Component.ClassLimit => "class limit",
            Component.Resolution => "resolution",
            Component.Readability => "readability",
            Component.Drift => "drift since calibration",
            Component.Stability => "short-term stability",
            Component.Temperature => "temperature",
            Component.TemperatureCoefficient => "temperature coefficient",
            Component.WarmUp => "warm-up",
            Component.SelfHeating => "self-heating",
            Component.ThermalEmf => "thermal EMF",
            Component.ZeroDrift => "zero drift",
            Component.NonSimultaneity => "non-simultaneity",
            Component.Ripple => "ripple and common mode",
            Component.Reconnection => "reconnection",
            Component.Leads => "leads",
            Component.Method => "method",
            _ => throw new ArgumentOutOfRangeException(nameof(component), component, "Not a component of a budget."),
        };
}
