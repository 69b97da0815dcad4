using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>Accuracy as a data sheet gives it; every part is given, zero where the sheet has none.</summary>
internal static class AccuracyShape
{
    private static readonly Key<double> OfReading = Key.Required(
        "of reading",
        Share("35 ppm"),
        "± this share of the reading."
    );
    private static readonly Key<double> OfRange = Key.Required(
        "of range",
        Share("5 ppm"),
        "± this share of the range, added."
    );
    private static readonly Key<double> Counts = Key.Required(
        "counts",
        new NumberShape(Bounds.From(0, 10000), "2"),
        "± this many steps of the resolution, added."
    );
    private static readonly Key<double> PerKelvin = Key.Required(
        "per kelvin outside",
        Of.Quantity(Unit.PerKelvin, Bounds.From(0, 0.1), "5 ppm/K"),
        "Share of the reading added for every kelvin outside the band."
    );
    private static readonly Key<(double Low, double High)> Band = Key.Required(
        "band",
        new SpanShape(Unit.Celsius, Bounds.From(-60, 100), "18 °C to 28 °C"),
        "Ambient temperatures the figures above hold for."
    );
    private static readonly Key<TimeSpan> WarmUp = Key.Required(
        "warm-up",
        Of.Time(0, 86400, "30 min"),
        "Warm-up the figures ask for."
    );

    /// <summary>The specification.</summary>
    internal static readonly MappingShape<AccuracySpecification> Accuracy = new(
        "accuracy",
        Of.Keys(OfReading, OfRange, Counts, PerKelvin, Band, WarmUp),
        f => new AccuracySpecification(
            f.Get(OfReading),
            f.Get(OfRange),
            f.Get(Counts),
            f.Get(PerKelvin),
            f.Get(Band).Low,
            f.Get(Band).High,
            f.Get(WarmUp)
        ),
        Check
    );

    private static QuantityShape<double> Share(string example) => Of.Fraction(Bounds.From(0, 0.5), example);

    // An instrument without error would make every verdict certain.
    private static void Check(Fields f)
    {
        if (
            f.TryGet(OfReading, out var reading)
            && f.TryGet(OfRange, out var range)
            && f.TryGet(Counts, out var counts)
            && reading == 0
            && range == 0
            && counts == 0
        )
        {
            f.Findings.Error(
                f.Place,
                "`of reading`, `of range` and `counts` are all zero; no instrument is without error. Copy its data sheet."
            );
        }
    }
}
