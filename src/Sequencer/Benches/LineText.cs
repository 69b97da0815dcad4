using System.Globalization;

namespace LoadTest.Sequencer.Benches;

/// <summary>How an instrument is reached, as written in the bench file.</summary>
public abstract record LineText
{
    /// <summary>A device of the embedded simulated bench, by its name there.</summary>
    public sealed record Simulated(string Device) : LineText;

    /// <summary>A TCP address.</summary>
    public sealed record Tcp(string Host, int Port) : LineText;

    /// <summary>No wire: a person reads the instrument with this id and types.</summary>
    public sealed record Person(string Id) : LineText;

    /// <summary>A serial port.</summary>
    /// <param name="Port">Name that stays with the adapter, such as a link under <c>/dev/serial/by-id</c>; on Windows <c>COM3</c>.</param>
    /// <param name="Baud">Bits a second.</param>
    /// <param name="Parity">Parity bit.</param>
    /// <param name="DataBits">7 or 8.</param>
    /// <param name="StopBits">1 or 2.</param>
    public sealed record Serial(string Port, int Baud, SerialParity Parity, int DataBits = 8, int StopBits = 1)
        : LineText
    {
        /// <summary>Bits one character takes on the wire: start, data, parity, stop. 8 data bits, even, 1 stop: 11.</summary>
        public int BitsPerCharacter => 1 + DataBits + (Parity == SerialParity.None ? 0 : 1) + StopBits;

        /// <summary>Time of so many characters on the wire. 8 at 19 200 Bd and 11 bits: 4.583 ms.</summary>
        /// <param name="characters">How many, from 0.</param>
        public TimeSpan TimeOf(int characters) =>
            TimeSpan.FromTicks(TimeSpan.TicksPerSecond * characters * BitsPerCharacter / Baud);

        /// <summary>As a person writes it: <c>19200 Bd, 8E1</c>.</summary>
        public string Words =>
            string.Create(CultureInfo.InvariantCulture, $"{Baud} Bd, {DataBits}{Parity.ToString()[0]}{StopBits}");
    }
}

/// <summary>The parity bit of a serial line.</summary>
public enum SerialParity
{
    /// <summary>No parity bit.</summary>
    None,

    /// <summary>Even number of ones.</summary>
    Even,

    /// <summary>Odd number of ones.</summary>
    Odd,
}
