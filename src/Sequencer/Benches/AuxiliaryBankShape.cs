using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>What a bench file says of its AC elements.</summary>
internal static class AuxiliaryBankShape
{
    private static readonly Key<ImmutableArray<AuxiliaryElement>> Elements = Key.Required(
        "elements",
        Of.List(ElementShape(), 1, 16, "- { resistance: 28.8 Ω, … }"),
        "Its elements in the order of their addresses, which follow those of the DC elements."
    );
    private static readonly Key<Amperes> ContactorAmperes = Key.Required(
        "contactor current",
        Of.Amperes("25 A"),
        "AC current each element's contactor makes and breaks."
    );
    private static readonly Key<Watts> Total = Key.Required(
        "total power",
        Of.Watts("10 kW"),
        "Continuous power of all AC elements together, fan on."
    );

    /// <summary>The AC elements.</summary>
    internal static readonly MappingShape<AuxiliaryBank> Bank = new(
        "auxiliary bank",
        Of.Keys(Elements, ContactorAmperes, Total),
        f => new AuxiliaryBank(f.Get(Elements), f.Get(ContactorAmperes), f.Get(Total), f.Place)
    );

    private static MappingShape<AuxiliaryElement> ElementShape()
    {
        var ohms = Key.Required("resistance", Of.Ohms("28.8 Ω"), "Cold resistance, measured or nominal.");
        var tolerance = Key.Required(
            "tolerance",
            Of.Fraction(Bounds.Above(0, 0.5), "2 %"),
            "How far the resistance may lie from that."
        );
        var volts = Key.Required("continuous", Of.Volts("264 V"), "Volts rms it stands continuously, fan on.");
        return new MappingShape<AuxiliaryElement>(
            "auxiliary element",
            Of.Keys(ohms, tolerance, volts),
            f => new AuxiliaryElement(f.Get(ohms), f.Get(tolerance), f.Get(volts), f.Place)
        );
    }
}
