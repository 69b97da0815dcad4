using System.Collections.Immutable;
using LoadTest.Analysis.Quantities;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>Load banks, instruments and how they are wired, as read from a file.</summary>
/// <param name="Name">The bench's name.</param>
/// <param name="Location">Where it stands, for the record.</param>
/// <param name="World">File of the simulated world this bench belongs to; null for a real bench. Proves nothing by itself.</param>
/// <param name="Bank">The weld DC load bank.</param>
/// <param name="Instruments">All instruments, the bank's controller among them.</param>
/// <param name="Channels">Named quantities the bench can read.</param>
/// <param name="ReferenceShunt">The bench's certified shunt.</param>
/// <param name="Leads">The weld leads between studs and bank.</param>
public sealed record Bench(
    string Name,
    string? Location,
    string? World,
    Bank Bank,
    ImmutableArray<BenchInstrument> Instruments,
    ImmutableArray<Channel> Channels,
    CertifiedShunt ReferenceShunt,
    Leads Leads,
    Place Place
)
{
    /// <summary>The AC elements for the auxiliary output, on the same controller after the DC elements; null without any.</summary>
    public AuxiliaryBank? AuxiliaryBank { get; init; }

    /// <summary>The instruments on a wire: all but those a person reads.</summary>
    public IEnumerable<BenchInstrument> Wired => Instruments.Where(i => i.Line is not LineText.Person);

    /// <summary>The instrument whose relay lets the unit give output; null when the bench has none.</summary>
    public BenchInstrument? OutputEnable =>
        Instruments.FirstOrDefault(i => i.Definition.Relays.Any(r => r.Role == RelayRole.OutputEnable));

    /// <summary>The instrument with this id; the reader has proved that it exists.</summary>
    public BenchInstrument Instrument(string id) => Instruments.First(i => i.Id == id);

    /// <summary>The channel in this role; null when the bench has none.</summary>
    public Channel? ChannelFor(ChannelRole role) => Channels.FirstOrDefault(c => c.Role == role);
}

/// <summary>The weld DC load bank: its elements and its ratings.</summary>
/// <param name="InstrumentId">Which instrument switches it.</param>
/// <param name="Elements">Elements in the order of their addresses; element 1 of people is index 0.</param>
/// <param name="ContactorAmperes">DC rating of each element's contactor, making and breaking.</param>
/// <param name="ContactorVolts">DC voltage each contactor can break.</param>
/// <param name="TotalWatts">Continuous power of the whole bank with its fan on.</param>
/// <param name="CoolDown">Least fan-on time after load.</param>
public sealed record Bank(
    string InstrumentId,
    ImmutableArray<BankElement> Elements,
    Amperes ContactorAmperes,
    Volts ContactorVolts,
    Watts TotalWatts,
    TimeSpan CoolDown,
    Place Place
)
{
    /// <summary>How many AC elements follow on the same controller.</summary>
    public int AuxiliaryElements { get; init; }
}

/// <summary>One switched resistor of a bank.</summary>
/// <param name="Resistance">Measured or nominal resistance, cold.</param>
/// <param name="Tolerance">Relative tolerance of that resistance, a fraction.</param>
/// <param name="ContinuousVolts">DC volts it stands continuously.</param>
/// <param name="ShortTimeVolts">DC volts it stands for <paramref name="ShortTime"/>.</param>
/// <param name="ShortTime">How long it stands the short-time volts.</param>
/// <param name="TemperatureCoefficient">Relative change per kelvin.</param>
public sealed record BankElement(
    Ohms Resistance,
    double Tolerance,
    Volts ContinuousVolts,
    Volts ShortTimeVolts,
    TimeSpan ShortTime,
    double TemperatureCoefficient,
    Place Place
);

/// <summary>AC elements that load the unit's auxiliary output, single-phase; switched by the DC bank's controller.</summary>
/// <param name="Elements">Elements in the order of their addresses, after the DC elements.</param>
/// <param name="ContactorAmperes">AC rating of each element's contactor.</param>
/// <param name="TotalWatts">Continuous power of all of them with the fan on.</param>
/// <remarks>One controller, so that one frame takes both loads off.</remarks>
public sealed record AuxiliaryBank(
    ImmutableArray<AuxiliaryElement> Elements,
    Amperes ContactorAmperes,
    Watts TotalWatts,
    Place Place
);

/// <summary>One switched AC resistor.</summary>
/// <param name="Resistance">Cold resistance.</param>
/// <param name="Tolerance">Relative tolerance of that resistance, a fraction.</param>
/// <param name="ContinuousVolts">Volts rms it stands continuously.</param>
public sealed record AuxiliaryElement(Ohms Resistance, double Tolerance, Volts ContinuousVolts, Place Place);

/// <summary>One instrument as it stands on this bench.</summary>
/// <param name="Id">Short id used on the bench and in every message.</param>
/// <param name="DefinitionFile">Its definition file as written, relative to the profiles folder.</param>
/// <param name="Definition">The definition itself, read from that file.</param>
/// <param name="Line">How it is reached.</param>
/// <param name="SerialNumber">Serial number it must identify with; null when it cannot tell.</param>
/// <param name="Certificate">Its calibration certificate; null when it has none.</param>
public sealed record BenchInstrument(
    string Id,
    string DefinitionFile,
    InstrumentDefinition Definition,
    LineText Line,
    string? SerialNumber,
    Certificate? Certificate,
    Place Place
);

/// <summary>A calibration certificate of an instrument or shunt.</summary>
/// <param name="Number">Certificate number.</param>
/// <param name="IssuedBy">Laboratory that issued it.</param>
/// <param name="Date">Date of calibration.</param>
/// <param name="Due">Date it is due again.</param>
/// <param name="Points">Calibrated points; may be empty when only a statement was given.</param>
public sealed record Certificate(
    string Number,
    string IssuedBy,
    DateOnly Date,
    DateOnly Due,
    ImmutableArray<CertificatePoint> Points,
    Place Place
);

/// <summary>One calibrated point.</summary>
/// <param name="Input">Input of the instrument it belongs to; null for a shunt.</param>
/// <param name="At">Reading (of a shunt: current) at which it was calibrated.</param>
/// <param name="Correction">Correction to add to the reading; of a shunt: relative correction of the ratio, a fraction.</param>
/// <param name="Expanded">Expanded uncertainty U of the correction, same unit.</param>
/// <param name="CoverageFactor">Coverage factor k of U, usually 2.</param>
public sealed record CertificatePoint(
    string? Input,
    Quantity At,
    Quantity Correction,
    Quantity Expanded,
    double CoverageFactor
);

/// <summary>The bench's certified shunt.</summary>
/// <param name="SerialNumber">Serial number.</param>
/// <param name="RatedAmperes">Rated current.</param>
/// <param name="RatedVolts">Rated drop.</param>
/// <param name="ClassIndex">Class index, percent.</param>
/// <param name="ContinuousFraction">Fraction of rated current it carries continuously, above 0 to 1.</param>
/// <param name="TemperatureCoefficient">Relative change per kelvin.</param>
/// <param name="SelfHeatingKelvins">Temperature rise at rated current.</param>
/// <param name="ThermalVolts">Largest thermal EMF at its sense terminals, volts.</param>
/// <param name="Certificate">Its certificate.</param>
public sealed record CertifiedShunt(
    string SerialNumber,
    Amperes RatedAmperes,
    Volts RatedVolts,
    double ClassIndex,
    double ContinuousFraction,
    double TemperatureCoefficient,
    double SelfHeatingKelvins,
    Volts ThermalVolts,
    Certificate? Certificate,
    Place Place
);

/// <summary>The weld leads, supply and return together.</summary>
/// <param name="Resistance">Both leads with lugs, ohms.</param>
/// <param name="RatedAmperes">Continuous rating.</param>
/// <param name="DutyAmperes">Rating at <paramref name="DutyCycle"/>; equal to the continuous one when not given.</param>
/// <param name="DutyCycle">On fraction of ten minutes for that rating.</param>
public sealed record Leads(Ohms Resistance, Amperes RatedAmperes, Amperes DutyAmperes, double DutyCycle, Place Place);

/// <summary>What a channel is for; the words in files are in the remarks of each.</summary>
public enum ChannelRole
{
    /// <summary><c>bank volts</c>: volts across the elements.</summary>
    BankVolts,

    /// <summary><c>bank amperes</c>: total amperes by the bank's own sensor.</summary>
    BankAmperes,

    /// <summary><c>stud volts</c>: volts at the unit's studs.</summary>
    StudVolts,

    /// <summary><c>reference shunt drop</c>: volts across the bench's certified shunt.</summary>
    ReferenceShuntDrop,

    /// <summary><c>unit shunt drop</c>: volts across the machine's own shunt.</summary>
    UnitShuntDrop,

    /// <summary><c>bank outlet temperature</c>: of the cooling air, °C.</summary>
    BankOutletTemperature,

    /// <summary><c>unit temperature</c>: of the part of the unit whose warming is judged, °C.</summary>
    UnitTemperature,

    /// <summary><c>lug temperature</c>: of the warmest lug or lead, °C.</summary>
    LugTemperature,

    /// <summary><c>reference shunt temperature</c>: of the bench's certified shunt, °C.</summary>
    ReferenceShuntTemperature,

    /// <summary><c>air temperature</c>: of the air the unit draws in, °C.</summary>
    AirTemperature,

    /// <summary><c>auxiliary volts</c>: rms volts at the auxiliary output.</summary>
    AuxiliaryVolts,

    /// <summary><c>auxiliary amperes</c>: rms amperes of the auxiliary load.</summary>
    AuxiliaryAmperes,

    /// <summary><c>auxiliary frequency</c>: of the auxiliary output, Hz.</summary>
    AuxiliaryFrequency,

    /// <summary><c>auxiliary power</c>: active power of the auxiliary load, W.</summary>
    AuxiliaryPower,
}

/// <summary>A named quantity the bench can read.</summary>
/// <param name="Name">Name in messages and journals.</param>
/// <param name="Role">What it is for.</param>
/// <param name="InstrumentId">Which instrument reads it.</param>
/// <param name="Input">Which input of that instrument.</param>
/// <param name="IsFast">Whether it guards the trip limits (fast) or judges (slow).</param>
/// <param name="SensePoint">Where its sense wires are landed, in words.</param>
/// <param name="MaximumAge">Oldest a good reading may be while anything is on.</param>
public sealed record Channel(
    string Name,
    ChannelRole Role,
    string InstrumentId,
    string Input,
    bool IsFast,
    string SensePoint,
    TimeSpan MaximumAge,
    Place Place
);
