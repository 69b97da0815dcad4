using System.Collections.Immutable;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>A calibration certificate as a bench file copies it.</summary>
internal static class CertificateShape
{
    private static readonly ImmutableArray<Unit> Readings =
    [
        Unit.Volt,
        Unit.Ampere,
        Unit.Watt,
        Unit.Ohm,
        Unit.Celsius,
        Unit.Hertz,
        Unit.RevolutionPerMinute,
    ];

    /// <summary>Of an instrument: points name an input; correction and U are in its unit.</summary>
    internal static readonly MappingShape<Certificate> OfInstrument = Certificate("certificate", InstrumentPoint());

    /// <summary>Of a shunt: points are currents; correction and U are shares of the ratio.</summary>
    internal static readonly MappingShape<Certificate> OfShunt = Certificate("shunt certificate", ShuntPoint());

    private static MappingShape<Certificate> Certificate(string name, Shape<CertificatePoint> point)
    {
        var number = Key.Required("number", Of.Text("C-2026-0117"), "Number of the certificate.");
        var by = Key.Required("by", Of.Text("the laboratory"), "Laboratory that issued it.");
        var date = Key.Required("date", Of.Date, "Date of calibration.");
        var due = Key.Required("due", Of.Date, "Date it is due again.", "due: 2027-03-31");
        var points = Key.Required(
            "points",
            Of.List(point, 0, 60, "[]"),
            "Calibrated points; `[]` when it only states conformity.",
            "points: []"
        );
        return new MappingShape<Certificate>(
            name,
            Of.Keys(number, by, date, due, points),
            f => new Certificate(f.Get(number), f.Get(by), f.Get(date), f.Get(due), f.Get(points), f.Place),
            f => f.Demand(date, due, (done, next) => next > done, "`due` is not after `date`; the two may be swapped.")
        );
    }

    private static MappingShape<CertificatePoint> InstrumentPoint()
    {
        var input = Key.Required("input", Of.Text("volts"), "Input of the instrument it belongs to.");
        var at = Key.Required("at", new MixedQuantityShape(Readings, "30 V"), "Reading at which it was calibrated.");
        var correction = Key.Required(
            "correction",
            new MixedQuantityShape(Readings, "0.4 mV"),
            "Correction to add to the reading."
        );
        var expanded = Key.Required(
            "U",
            new MixedQuantityShape(Readings, "0.8 mV"),
            "Expanded uncertainty of the correction."
        );
        var k = Coverage();
        return new MappingShape<CertificatePoint>(
            "certificate point",
            Of.Keys(input, at, correction, expanded, k),
            f => new CertificatePoint(f.Get(input), f.Get(at), f.Get(correction), f.Get(expanded), f.Get(k)),
            f =>
            {
                f.Demand(at, correction, SameUnit, "`correction` is not in the unit of `at`.");
                f.Demand(at, expanded, SameUnit, "`U` is not in the unit of `at`.");
                if (f.TryGet(expanded, out var u) && !(u.Value > 0))
                {
                    f.Findings.Error(
                        f.PlaceOf(expanded),
                        "`U` is not above zero; no calibration is without uncertainty."
                    );
                }
            }
        );
    }

    private static MappingShape<CertificatePoint> ShuntPoint()
    {
        var at = Key.Required("at", Of.Amperes("500 A"), "Current at which it was calibrated.");
        var correction = Key.Required(
            "correction",
            Of.Fraction(Bounds.From(-0.1, 0.1), "-0.02 %"),
            "Relative correction to add to the rated ratio."
        );
        var expanded = Key.Required(
            "U",
            Of.Fraction(Bounds.Above(0, 0.1), "0.03 %"),
            "Expanded uncertainty of the correction."
        );
        var k = Coverage();
        return new MappingShape<CertificatePoint>(
            "shunt certificate point",
            Of.Keys(at, correction, expanded, k),
            f => new CertificatePoint(
                null,
                new Quantity(f.Get(at).Value, Unit.Ampere),
                new Quantity(f.Get(correction), Unit.Fraction),
                new Quantity(f.Get(expanded), Unit.Fraction),
                f.Get(k)
            )
        );
    }

    private static Key<double> Coverage() =>
        Key.Required("k", new NumberShape(Bounds.From(1, 5), "2"), "Coverage factor of U, usually 2.");

    private static bool SameUnit(Quantity a, Quantity b) => a.Unit == b.Unit;
}
