using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a bench file says of its reference shunt, leads and channels.</summary>
internal static class BenchPartShapes
{
    /// <summary>The certified shunt.</summary>
    internal static MappingShape<CertifiedShunt> ReferenceShunt()
    {
        var serial = Key.Required("serial number", Of.Text("RS-0503"), "Serial number.");
        var amperes = Key.Required("rated current", Of.Amperes("500 A"), "Rated current.");
        var drop = Key.Required(
            "rated drop",
            new QuantityShape<Volts>(Unit.Volt, Bounds.From(0.01, 1), "50 mV", v => new Volts(v)),
            "Rated drop at that current."
        );
        var index = Key.Required(
            "class",
            new NumberShape(Bounds.Above(0, 2), "0.1"),
            "Class index, percent of the rated drop (IEC 60051)."
        );
        var share = Key.Required(
            "continuous",
            Of.Fraction(Bounds.Above(0, 1), "67 %"),
            "Share of the rated current it carries continuously."
        );
        var coefficient = Key.Required(
            "temperature coefficient",
            Of.Quantity(Unit.PerKelvin, Bounds.From(-0.01, 0.01), "15 ppm/K"),
            "Relative change per kelvin."
        );
        var heating = Key.Required(
            "self-heating",
            Of.Quantity(Unit.Kelvin, Bounds.From(0, 200), "40 K"),
            "Temperature rise at the rated current."
        );
        var thermal = Key.Required(
            "thermal EMF",
            new QuantityShape<Volts>(Unit.Volt, Bounds.From(0, 1e-3), "2 µV", v => new Volts(v)),
            "Largest thermal EMF at its sense terminals."
        );
        var certificate = Key.Optional(
            "certificate",
            CertificateShape.OfShunt,
            "Its certificate; without one nothing here is a calibration."
        );
        return new MappingShape<CertifiedShunt>(
            "reference shunt",
            Of.Keys(serial, amperes, drop, index, share, coefficient, heating, thermal, certificate),
            f => new CertifiedShunt(
                f.Get(serial),
                f.Get(amperes),
                f.Get(drop),
                f.Get(index),
                f.Get(share),
                f.Get(coefficient),
                f.Get(heating),
                f.Get(thermal),
                f.Maybe(certificate),
                f.Place
            ),
            f =>
            {
                if (f.TryGet(amperes, out var rated) && f.TryGet(certificate, out var paper))
                {
                    foreach (var point in paper.Points.Where(p => p.At.Value > rated.Value * 1.2))
                    {
                        f.Findings.Error(
                            paper.Place,
                            $"The certificate has a point at {UnitText.Show(point.At.Value, Unit.Ampere)}, but the shunt is rated {rated}. Check both."
                        );
                    }
                }
            }
        );
    }

    /// <summary>The leads.</summary>
    internal static MappingShape<Leads> Leads()
    {
        var ohms = Key.Required("resistance", Of.Ohms("1.2 mΩ"), "Both leads with their lugs.");
        var rated = Key.Required("rated current", Of.Amperes("350 A"), "Continuous rating.");
        var duty = Key.Optional(
            "duty current",
            Of.Amperes("450 A"),
            "Rating at `duty cycle`; the continuous one when left out."
        );
        var cycle = Key.Optional(
            "duty cycle",
            Of.Fraction(Bounds.Above(0, 1), "60 %"),
            "On-load share of ten minutes for `duty current`."
        );
        return new MappingShape<Leads>(
            "leads",
            Of.Keys(ohms, rated, duty, cycle),
            f => new Leads(f.Get(ohms), f.Get(rated), f.Get(duty, f.Get(rated)), f.Get(cycle, 1.0), f.Place),
            f =>
            {
                if (f.Has(duty) != f.Has(cycle))
                {
                    f.Findings.Error(
                        f.Place,
                        "leads give one of `duty current` and `duty cycle`. Give both or neither."
                    );
                }
                f.Demand(
                    rated,
                    duty,
                    (r, d) => d >= r,
                    "`duty current` is below `rated current`; the two may be swapped."
                );
            }
        );
    }

    /// <summary>A channel.</summary>
    internal static MappingShape<Channel> Channel()
    {
        var name = Key.Required("name", Of.Text("stud volts"), "Name in messages and journals.");
        var role = Key.Required(
            "reads",
            new WordShape<ChannelRole>([.. ChannelRoles.All.Select(r => (r.Word, r.Role))]),
            "What it is for."
        );
        var instrument = Key.Required("instrument", Of.Text("dmm-1"), "Id of the instrument that reads it.");
        var input = Key.Required("input", Of.Text("volts"), "Input of that instrument.");
        var path = Key.Required(
            "path",
            new WordShape<bool>([("fast", true), ("slow", false)]),
            "`fast` guards the trip limits, `slow` judges."
        );
        var sense = Key.Required("sense point", Of.Text("output studs"), "Where its sense wires are landed.");
        var oldest = Key.Required(
            "oldest",
            Of.Time(0.01, 60, "500 ms"),
            "Oldest a reading may be while anything is on."
        );
        return new MappingShape<Channel>(
            "channel",
            Of.Keys(name, role, instrument, input, path, sense, oldest),
            f => new Channel(
                f.Get(name),
                f.Get(role),
                f.Get(instrument),
                f.Get(input),
                f.Get(path),
                f.Get(sense),
                f.Get(oldest),
                f.Place
            )
        );
    }
}
