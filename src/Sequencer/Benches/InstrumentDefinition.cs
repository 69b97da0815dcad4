using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>What an instrument speaks.</summary>
public enum Protocol
{
    /// <summary><c>modbus rtu</c>: unit, PDU, CRC; serial or RTU over TCP.</summary>
    ModbusRtu,

    /// <summary><c>modbus tcp</c>: MBAP header.</summary>
    ModbusTcp,

    /// <summary><c>modbus ascii</c>: colon, hexadecimal digits, LRC; serial or over TCP.</summary>
    ModbusAscii,

    /// <summary><c>scpi</c>: lines of text, IEEE 488.2.</summary>
    Scpi,

    /// <summary><c>text</c>: lines of text of the instrument's own making, as its definition describes them.</summary>
    Text,

    /// <summary><c>by hand</c>: no wire; a person reads and types.</summary>
    ByHand,
}

/// <summary>A kind of instrument, described completely by a file.</summary>
/// <param name="Name">What kind it is.</param>
/// <param name="Protocol">What it speaks.</param>
/// <param name="Deadline">Whole-transaction deadline, last byte of the reply included.</param>
/// <param name="TurnAround">Silence kept before a request (RTU), or zero.</param>
/// <param name="UnitIdentifier">Modbus unit identifier, 1 to 247; 0 for any other protocol.</param>
/// <param name="Identity">How it proves what it is.</param>
/// <param name="Inputs">What it can read.</param>
/// <param name="Switching">Present when it switches a load bank.</param>
public sealed record InstrumentDefinition(
    string Name,
    Protocol Protocol,
    TimeSpan Deadline,
    TimeSpan TurnAround,
    int UnitIdentifier,
    IdentityCheck Identity,
    ImmutableArray<InputDefinition> Inputs,
    BankSwitching? Switching,
    Place Place
)
{
    /// <summary>Most registers, or bits, nobody asked for that one request may read through to reach the next asked for; 0 unless the file says so.</summary>
    public int MostGap { get; init; }

    /// <summary>Whether only one side of its line may talk at a time: RTU, ASCII and text of an instrument's own, whose answers carry no number.</summary>
    public bool IsHalfDuplex => Protocol is Protocol.ModbusRtu or Protocol.ModbusAscii or Protocol.Text;

    /// <summary>Whether it is read and written by registers and coils.</summary>
    public bool IsModbus => Protocol is Protocol.ModbusRtu or Protocol.ModbusTcp or Protocol.ModbusAscii;

    /// <summary>The number its file gives the first address, 0 or 1; messages count as the file does, the program from 0.</summary>
    public int AddressBase { get; init; }

    /// <summary>How lines are framed; null unless it speaks a text protocol.</summary>
    public TextFraming? Framing { get; init; }

    /// <summary>Settings made at the gate and read back, beside those of the inputs.</summary>
    public ImmutableArray<DeviceSetting> Settings { get; init; } = [];

    /// <summary>Flags by which it says that something is wrong with it.</summary>
    public ImmutableArray<ErrorFlag> Flags { get; init; } = [];

    /// <summary>Relays it switches.</summary>
    public ImmutableArray<Relay> Relays { get; init; } = [];

    /// <summary>The analogue output that sets the unit's control; null when it has none.</summary>
    public RemoteSetter? Setter { get; init; }

    /// <summary>What a retry may repeat.</summary>
    public MayRepeat MayRepeat { get; init; } = MayRepeat.DamagedReads;

    /// <summary>The input with this name; the reader has proved that it exists.</summary>
    public InputDefinition Input(string name) => Inputs.First(i => i.Name == name);
}

/// <summary>How an instrument proves what it is.</summary>
public abstract record IdentityCheck
{
    /// <summary>A register whose value is known (proves address base and word order too), and optionally one with the serial number.</summary>
    public sealed record KnownRegister(RegisterText Register, double Value, RegisterText? SerialNumber) : IdentityCheck;

    /// <summary>The reply to <c>*IDN?</c> begins with these comma-separated fields; the third field is the serial number.</summary>
    public sealed record IdentificationQuery(string Maker, string Model) : IdentityCheck
    {
        /// <summary>A further question whose answer is known; null without one.</summary>
        public ReadBackText? Known { get; init; }
    }

    /// <summary>A question of a text protocol whose reply names the kind, and perhaps has the field <c>serial</c>.</summary>
    /// <param name="Ask">The question.</param>
    /// <param name="Known">A question with the field <c>value</c>, whose value is known.</param>
    /// <param name="Value">That value.</param>
    public sealed record Question(TextExchange Ask, TextExchange Known, double Value) : IdentityCheck;

    /// <summary>A person reads the serial number off the instrument.</summary>
    /// <param name="Where">Where it stands.</param>
    public sealed record Person(string Where) : IdentityCheck;
}

/// <summary>Where a Modbus register stands and how its bytes are read.</summary>
/// <param name="Table">Which table.</param>
/// <param name="Address">Protocol address counted from 0 (address base already taken off).</param>
/// <param name="Form">How the bytes are read.</param>
/// <param name="IsLowWordFirst">Word order of 32-bit forms.</param>
/// <param name="Scale">Factor from raw value to the input's unit.</param>
public sealed record RegisterText(
    RegisterTable Table,
    int Address,
    RegisterForm Form,
    bool IsLowWordFirst,
    double Scale
)
{
    /// <summary>Whether the two bytes of every register are swapped: low byte first, against the Modbus specification.</summary>
    public bool IsLowByteFirst { get; init; }

    /// <summary>Its table as files write it: <c>input register</c>.</summary>
    public string TableWords =>
        Table switch
        {
            RegisterTable.Coil => "coil",
            RegisterTable.DiscreteInput => "discrete input",
            RegisterTable.HoldingRegister => "holding register",
            _ => "input register",
        };

    /// <summary>The bits of an unsigned form that hold the number; null when all of them do.</summary>
    public BitField? Bits { get; init; }
}

/// <summary>Neighbouring bits of a register that hold a number of their own.</summary>
/// <param name="First">Lowest of them, 0 for the register's lowest; with two registers counted through both.</param>
/// <param name="Count">How many, at least one.</param>
public readonly record struct BitField(int First, int Count)
{
    /// <summary>The field's bits set, where they stand.</summary>
    public uint Mask => (uint)(((1UL << Count) - 1) << First);

    /// <summary>The number a field of this value holds.</summary>
    public uint Of(uint whole) => (whole & Mask) >> First;
}

/// <summary>The four Modbus tables.</summary>
public enum RegisterTable
{
    /// <summary>Coils, read and written as bits.</summary>
    Coil,

    /// <summary>Discrete inputs, read as bits.</summary>
    DiscreteInput,

    /// <summary>Holding registers, read and written.</summary>
    HoldingRegister,

    /// <summary>Input registers, read.</summary>
    InputRegister,
}

/// <summary>How register bytes are read.</summary>
public enum RegisterForm
{
    /// <summary>One bit.</summary>
    Bit,

    /// <summary>Unsigned 16 bits.</summary>
    Unsigned16,

    /// <summary>Signed 16 bits.</summary>
    Signed16,

    /// <summary>Unsigned 32 bits.</summary>
    Unsigned32,

    /// <summary>Signed 32 bits.</summary>
    Signed32,

    /// <summary>IEEE 754 single.</summary>
    Float32,
}

/// <summary>One thing an instrument reads.</summary>
/// <param name="Name">Name of the input, unique in the definition.</param>
/// <param name="Unit">Unit of its value.</param>
/// <param name="Aperture">Time over which one reading integrates.</param>
/// <param name="Range">Largest magnitude it reads on the range set here.</param>
/// <param name="Resolution">Smallest step of the indication on that range.</param>
/// <param name="Specification">Data-sheet accuracy on that range.</param>
/// <param name="Register">Of a Modbus instrument: where it is read.</param>
/// <param name="Commands">Of a SCPI instrument: how it is set, read back and read.</param>
public sealed record InputDefinition(
    string Name,
    Unit Unit,
    TimeSpan Aperture,
    double Range,
    double Resolution,
    AccuracySpecification Specification,
    RegisterText? Register,
    InputCommands? Commands,
    Place Place
)
{
    /// <summary>Of a text instrument: the question that gives one reading, with the field <c>value</c>.</summary>
    public TextExchange? Ask { get; init; }

    /// <summary>Of a text instrument: factor from the value it sends to the input's unit.</summary>
    public double Scale { get; init; } = 1;

    /// <summary>Of a text instrument: the reply that says overload instead of a value; null when it has none.</summary>
    public TextPattern? OverRange { get; init; }

    /// <summary>Of a hand meter: how it is set and what is looked at, in words for the person.</summary>
    public string? PersonReads { get; init; }
}

/// <summary>Accuracy as a data sheet gives it: ± (of reading + of range), within a temperature band.</summary>
/// <param name="OfReading">Fraction of reading.</param>
/// <param name="OfRange">Fraction of range.</param>
/// <param name="Counts">Counts of resolution added.</param>
/// <param name="PerKelvinOutside">Fraction of reading per kelvin outside the band.</param>
/// <param name="BandLow">Lower end of the band, °C.</param>
/// <param name="BandHigh">Upper end of the band, °C.</param>
/// <param name="WarmUp">Warm-up time the specification asks for.</param>
public sealed record AccuracySpecification(
    double OfReading,
    double OfRange,
    double Counts,
    double PerKelvinOutside,
    double BandLow,
    double BandHigh,
    TimeSpan WarmUp
);

/// <summary>How a SCPI input is set, proved and read.</summary>
/// <param name="Configure">Commands sent in order at the gate.</param>
/// <param name="ReadBack">Queries and the replies they must give after that.</param>
/// <param name="Read">The query that gives one reading.</param>
public sealed record InputCommands(
    ImmutableArray<string> Configure,
    ImmutableArray<ReadBackText> ReadBack,
    string Read
);

/// <summary>A query and what it must answer; numbers are compared as numbers.</summary>
public sealed record ReadBackText(string Query, string Expected);

/// <summary>How a bank is switched and watched.</summary>
/// <param name="FirstElementCoil">Protocol address of element 1's coil; the others follow.</param>
/// <param name="ElementCount">How many elements.</param>
/// <param name="FirstContact">Discrete input of element 1's auxiliary contact; the others follow.</param>
/// <param name="FanCoil">Coil that runs the fan; null when the fan follows the bank by itself.</param>
/// <param name="AirFlow">Bit that is set while air flows; null when there is none.</param>
/// <param name="OverTemperature">Bit that is set on over-temperature; null when there is none.</param>
/// <param name="StopInput">Bit that is set while the hard-wired stop is healthy; null when there is none.</param>
/// <param name="CloseTime">Longest time from command to contact closed.</param>
/// <param name="OpenTime">Longest time from command to contact open.</param>
/// <param name="Watchdog">Holding register of the bank's communication watchdog, seconds; null when it has none.</param>
/// <param name="WatchdogSeconds">What it is set to at the gate.</param>
public sealed record BankSwitching(
    int FirstElementCoil,
    int ElementCount,
    int FirstContact,
    int? FanCoil,
    RegisterText? AirFlow,
    RegisterText? OverTemperature,
    RegisterText? StopInput,
    TimeSpan CloseTime,
    TimeSpan OpenTime,
    RegisterText? Watchdog,
    int WatchdogSeconds
)
{
    /// <summary>Of a text instrument: its lines; the registers above are then none.</summary>
    public TextSwitching? Text { get; init; }

    /// <summary>Whether the bank has a communication watchdog that opens every element by itself.</summary>
    public bool HasWatchdog => Watchdog is not null || Text?.SetWatchdog is not null;
}
