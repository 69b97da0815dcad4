using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>The bench's certified shunt: rating, certificate, and what moves it away from its certificate.</summary>
/// <remarks>Relative quantities are fractions of the ratio; zero where the property is not known to matter.</remarks>
public sealed record ReferenceShunt
{
    private const double DaysPerYear = 365.25;

    /// <summary>Drift in a year as a part of the class index, where nothing better is known: house rule, no source. Class 0.1: 0.02 %.</summary>
    public const double YearlyPartOfClass = 0.2;

    /// <summary>Name used in budgets and findings.</summary>
    public required string Name { get; init; }

    /// <summary>Rated current and drop.</summary>
    public required ShuntRating Rating { get; init; }

    /// <summary>Calibrated points, any order; empty when there is no certificate.</summary>
    public IReadOnlyList<ShuntCertificatePoint> Certificate { get; init; } = [];

    /// <summary>Temperature of the shunt's surroundings at calibration, °C.</summary>
    public double CertificateCelsius { get; init; } = 23;

    /// <summary>Relative change of the ratio per kelvin of surroundings, signed.</summary>
    public double TemperatureCoefficient { get; init; }

    /// <summary>Half-width of the temperature coefficient, per kelvin, zero or more.</summary>
    public double TemperatureCoefficientHalfWidth { get; init; }

    /// <summary>Relative change of the ratio per watt of its own heat once warm, signed.</summary>
    public double PowerCoefficient { get; init; }

    /// <summary>Half-width of the power coefficient, per watt, zero or more.</summary>
    public double PowerCoefficientHalfWidth { get; init; }

    /// <summary>Whether the certificate's points were taken cold (short pulses), so that self-heating is not in them.</summary>
    public bool IsCertifiedCold { get; init; }

    /// <summary>Relative half-width of the drift in a year since calibration, zero or more.</summary>
    public double DriftPerYear { get; init; }

    /// <summary>Half-width of the thermal EMF left at the sense terminals, mV, zero or more.</summary>
    public double ThermalMillivolts { get; init; }

    /// <summary>Current from a drop, with its budget.</summary>
    /// <param name="millivolts">Drop between the sense terminals, mV, corrected for the meter's own certificate.</param>
    /// <param name="drop">Budget lines of the drop, in mV (scatter, meter specification, resolution); their values are not used.</param>
    /// <param name="conditions">Temperature, age and warmth; nothing known and warm when null.</param>
    /// <param name="coverageProbability">Coverage probability of the budget.</param>
    /// <returns>The current with its budget, or findings that say why there is none.</returns>
    /// <exception cref="ArgumentException">NaN, infinite, or a property of the shunt out of its range.</exception>
    /// <remarks>
    /// I = V / (r_rated (1 + c)(1 + α ΔT)(1 + β P)); c interpolated between certificate points, α ΔT only where the
    /// temperature is known, β P only where the certificate was taken on the other side of warm. Common practice after
    /// JCGM 100:2008, 4.1 and F.2.4. Worked number: 30.000 mV on 500 A / 60 mV, c = +0.0002, is 249.950 A.
    /// </remarks>
    public ShuntCurrent CurrentFrom(
        double millivolts,
        IReadOnlyList<UncertaintyInput> drop,
        ShuntConditions? conditions = null,
        double coverageProbability = Coverage.Conventional
    )
    {
        ArgumentNullException.ThrowIfNull(drop);
        Guard.Finite(millivolts, Name, "drop in mV");
        Check();
        conditions ??= new();
        var nominal = Rating.AmperesFrom(millivolts);
        var findings = new List<string>();
        var lines = new List<UncertaintyInput>();
        if (!ShuntCorrection.TryFind(this, nominal, lines, findings, out var factor))
            return new(null, null, findings);
        factor *= Temperature(conditions, lines, findings);
        factor *= SelfHeating(nominal, conditions, lines);
        Drift(conditions, lines, findings);
        var amperes = nominal / factor;
        // Relative lines act on the current with −I; a drop line in mV with 1/ratio.
        var inputs = lines.ConvertAll(line => line.With(-amperes));
        if (ThermalMillivolts > 0)
            inputs.Add(
                Line("thermal EMF", Component.ThermalEmf, ThermalMillivolts).With(1 / (Rating.RatedRatio * factor))
            );
        inputs.AddRange(drop.Select(line => line.With(1 / (Rating.RatedRatio * factor))));
        var budget = Budget.Linear($"Current by {Name}", "A", amperes, inputs, null, coverageProbability);
        return new(budget.Combined, budget, findings);
    }

    private void Check()
    {
        Guard.Finite(CertificateCelsius, Name, "temperature at calibration in °C");
        Guard.Finite(TemperatureCoefficient, Name, "temperature coefficient");
        Guard.NotNegative(TemperatureCoefficientHalfWidth, Name, "half-width of the temperature coefficient");
        Guard.Finite(PowerCoefficient, Name, "power coefficient");
        Guard.NotNegative(PowerCoefficientHalfWidth, Name, "half-width of the power coefficient");
        Guard.NotNegative(DriftPerYear, Name, "drift per year");
        Guard.NotNegative(ThermalMillivolts, Name, "thermal EMF in mV");
    }

    private double Temperature(ShuntConditions conditions, List<UncertaintyInput> lines, List<string> findings)
    {
        if (TemperatureCoefficient == 0 && TemperatureCoefficientHalfWidth == 0)
            return 1;
        if (conditions.BodyCelsius is not { } celsius)
        {
            findings.Add(
                $"{Name}: its temperature is not known; no temperature correction was made and none is in the budget."
            );
            return 1;
        }
        var away = Guard.Finite(celsius, Name, "temperature in °C") - CertificateCelsius;
        Guard.NotNegative(conditions.BodyHalfWidth, Name, "half-width of the temperature in K");
        Add(lines, "temperature", Component.Temperature, Math.Abs(TemperatureCoefficient) * conditions.BodyHalfWidth);
        Add(
            lines,
            "temperature coefficient",
            Component.TemperatureCoefficient,
            TemperatureCoefficientHalfWidth * Math.Abs(away)
        );
        return 1 + TemperatureCoefficient * away;
    }

    private double SelfHeating(double amperes, ShuntConditions conditions, List<UncertaintyInput> lines)
    {
        var watts = Rating.PowerAt(amperes).Value;
        // A certificate taken warm holds for a warm shunt and one taken cold for a cold one; otherwise the heat comes on or off.
        var sign = (IsCertifiedCold, conditions.IsWarm) switch
        {
            (true, true) => 1,
            (false, false) => -1,
            _ => 0,
        };
        if (sign != 0)
            Add(lines, "self-heating", Component.SelfHeating, PowerCoefficientHalfWidth * watts);
        return 1 + sign * PowerCoefficient * watts;
    }

    private void Drift(ShuntConditions conditions, List<UncertaintyInput> lines, List<string> findings)
    {
        if (DriftPerYear == 0)
            return;
        if (conditions.DaysSinceCalibration is not { } days)
        {
            findings.Add($"{Name}: its calibration date is not known; one year of drift was assumed.");
            days = DaysPerYear;
        }
        Guard.NotNegative(days, Name, "age of the calibration in days");
        Add(lines, "drift since calibration", Component.Drift, DriftPerYear * days / DaysPerYear);
    }

    internal void Add(List<UncertaintyInput> lines, string name, Component component, double halfWidth)
    {
        if (halfWidth > 0)
            lines.Add(Line(name, component, halfWidth));
    }

    private UncertaintyInput Line(string name, Component component, double halfWidth) =>
        UncertaintyInput.FromHalfWidth($"{Name}: {name}", value: 0, halfWidth) with
        {
            Component = component,
            Instrument = Name,
            SharedBy = Name,
        };
}
