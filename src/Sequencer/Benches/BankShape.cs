using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a bench file says of its load bank.</summary>
internal static class BankShape
{
    private static readonly Key<string> Controller = Key.Required(
        "controller",
        Of.Text("bank-1"),
        "Id of the instrument that switches it."
    );
    private static readonly Key<ImmutableArray<BankElement>> Elements = Key.Required(
        "elements",
        Of.List(ElementShape(), 1, 24, "- { resistance: 8 Ω, … }"),
        "Its elements in the order of their addresses."
    );
    private static readonly Key<Amperes> ContactorAmperes = Key.Required(
        "contactor current",
        Of.Amperes("400 A"),
        "DC current each element's contactor makes and breaks."
    );
    private static readonly Key<Volts> ContactorVolts = Key.Required(
        "contactor voltage",
        Of.Volts("110 V"),
        "DC voltage each contactor breaks at that current; an AC rating says nothing of it."
    );
    private static readonly Key<Watts> Total = Key.Required(
        "total power",
        Of.Watts("30 kW"),
        "Continuous power of the whole bank, fan on."
    );
    private static readonly Key<TimeSpan> CoolDown = Key.Required(
        "cool down",
        Of.Time(0, 3600, "3 min"),
        "Least fan-on time after load."
    );

    /// <summary>The bank.</summary>
    internal static readonly MappingShape<Bank> Bank = new(
        "bank",
        Of.Keys(Controller, Elements, ContactorAmperes, ContactorVolts, Total, CoolDown),
        f => new Bank(
            f.Get(Controller),
            f.Get(Elements),
            f.Get(ContactorAmperes),
            f.Get(ContactorVolts),
            f.Get(Total),
            f.Get(CoolDown),
            f.Place
        )
    );

    private static MappingShape<BankElement> ElementShape()
    {
        var ohms = Key.Required("resistance", Of.Ohms("8 Ω"), "Cold resistance, measured or nominal.");
        var tolerance = Key.Required(
            "tolerance",
            Of.Fraction(Bounds.Above(0, 0.5), "1 %"),
            "How far the resistance may lie from that."
        );
        var continuous = Key.Required("continuous", Of.Volts("80 V"), "DC voltage it stands continuously, fan on.");
        var shortTime = Key.Required("short time", Of.Volts("100 V"), "DC voltage it stands for the time in `for`.");
        var time = Key.Required("for", Of.Time(0.1, 600, "5 s"), "How long it stands the short-time voltage.");
        var coefficient = Key.Required(
            "temperature coefficient",
            Of.Quantity(Unit.PerKelvin, Bounds.From(-0.01, 0.01), "100 ppm/K"),
            "Relative change of resistance per kelvin."
        );
        return new MappingShape<BankElement>(
            "element",
            Of.Keys(ohms, tolerance, continuous, shortTime, time, coefficient),
            f => new BankElement(
                f.Get(ohms),
                f.Get(tolerance),
                f.Get(continuous),
                f.Get(shortTime),
                f.Get(time),
                f.Get(coefficient),
                f.Place
            ),
            f =>
                f.Demand(
                    continuous,
                    shortTime,
                    (c, s) => s >= c,
                    "`short time` is below `continuous`; the two may be swapped."
                )
        );
    }
}
