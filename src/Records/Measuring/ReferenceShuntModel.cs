using LoadTest.Analysis.Shunts;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Records.Measuring;

/// <summary>The bench's certified shunt as the analysis knows it.</summary>
internal static class ReferenceShuntModel
{
    private const double MilliPerOne = 1000;

    // Kelvins its surroundings may be off those of its certificate; the same assumption as the plan's.
    private const double AmbientHalfWidth = 5;

    // Below this part of its rated drop a remark on the certificate's lowest point says nothing: the bank is open.
    private const double OpenPart = 0.005;

    /// <summary>Rating, certificate and thermal EMF; its heating and surroundings as half-widths.</summary>
    public static ReferenceShunt Of(CertifiedShunt shunt)
    {
        var rating = new ShuntRating(shunt.RatedAmperes.Value, shunt.RatedVolts.Value * MilliPerOne, shunt.ClassIndex);
        var perKelvin = Math.Abs(shunt.TemperatureCoefficient);
        return new ReferenceShunt
        {
            Name = $"reference shunt {shunt.SerialNumber}",
            Rating = rating,
            Certificate =
            [
                .. (shunt.Certificate?.Points ?? []).Select(p => new ShuntCertificatePoint(
                    p.At.Value,
                    p.Correction.Value,
                    p.Expanded.Value,
                    p.CoverageFactor
                )),
            ],
            // The certificate does not say cold or warm, so the whole of its own heating stands as a half-width.
            PowerCoefficientHalfWidth =
                perKelvin * shunt.SelfHeatingKelvins / rating.PowerAt(rating.RatedAmperes).Value,
            IsCertifiedCold = true,
            TemperatureCoefficient = shunt.TemperatureCoefficient,
            DriftPerYear = ReferenceShunt.YearlyPartOfClass * shunt.ClassIndex / 100,
            ThermalMillivolts = shunt.ThermalVolts.Value * MilliPerOne,
        };
    }

    /// <summary>Surroundings taken as those of the certificate within 5 K, and the age of the certificate.</summary>
    public static ShuntConditions Conditions(CertifiedShunt shunt, DateOnly day) =>
        new(
            new ReferenceShunt { Name = "", Rating = new ShuntRating(1, 1) }.CertificateCelsius,
            AmbientHalfWidth,
            shunt.Certificate is { } c ? Math.Max(0, day.DayNumber - c.Date.DayNumber) : null
        );

    /// <summary>Drop below which the bank counts as open, volts.</summary>
    public static double Floor(CertifiedShunt shunt) => OpenPart * shunt.RatedVolts.Value;
}
