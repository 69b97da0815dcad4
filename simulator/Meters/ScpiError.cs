namespace LoadTest.Simulator.Meters;

/// <summary>An entry of the error queue with the standard's number and text.</summary>
/// <remarks>Texts as SCPI-99 volume 2, chapter 21 lists them.</remarks>
internal sealed record ScpiError(int Number, string Text)
{
    public static readonly ScpiError None = new(0, "No error");
    public static readonly ScpiError InvalidCharacter = new(-101, "Invalid character");
    public static readonly ScpiError Syntax = new(-102, "Syntax error");
    public static readonly ScpiError DataType = new(-104, "Data type error");
    public static readonly ScpiError ParameterNotAllowed = new(-108, "Parameter not allowed");
    public static readonly ScpiError MissingParameter = new(-109, "Missing parameter");
    public static readonly ScpiError MnemonicTooLong = new(-112, "Program mnemonic too long");
    public static readonly ScpiError UndefinedHeader = new(-113, "Undefined header");
    public static readonly ScpiError InvalidCharacterInNumber = new(-121, "Invalid character in number");
    public static readonly ScpiError InvalidSuffix = new(-131, "Invalid suffix");
    public static readonly ScpiError InvalidString = new(-151, "Invalid string data");
    public static readonly ScpiError OutOfRange = new(-222, "Data out of range");
    public static readonly ScpiError IllegalParameter = new(-224, "Illegal parameter value");
    public static readonly ScpiError Stale = new(-230, "Data corrupt or stale");
    public static readonly ScpiError QueueOverflow = new(-350, "Queue overflow");
    public static readonly ScpiError InputOverrun = new(-363, "Input buffer overrun");

    /// <summary>Bit of the standard event status register this number sets.</summary>
    public int EventBit =>
        Number switch
        {
            <= -100 and > -200 => 1 << 5,
            <= -200 and > -300 => 1 << 4,
            <= -300 and > -400 => 1 << 3,
            <= -400 and > -500 => 1 << 2,
            _ => 0,
        };

    /// <summary>As a query gives it: number, comma, quoted text.</summary>
    public override string ToString() => $"{Number},\"{Text}\"";
}
