using System.IO.Ports;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Text;

namespace LoadTest.Instruments.Line;

/// <summary>A line on a serial port: one thread reads blocking, notices a port that is gone and opens it again.</summary>
/// <remarks>
/// The port is named by what stays with the adapter, and that name is looked up anew each time. A port that is gone may never let
/// go of whoever closes it, so it is closed on a thread of its own, which is waited for <see cref="LongestClose"/> and then left.
/// </remarks>
public sealed class SerialLine : ThreadedLine<SerialPort>
{
    private static readonly TimeSpan LongestClose = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan LookEvery = TimeSpan.FromMilliseconds(200);

    /// <summary>A write ends when the system has the bytes, long before they are on the wire.</summary>
    private const int LongestWriteMilliseconds = 250;

    /// <summary>Longest silence before the port is looked for; the reader learns of most losses at once.</summary>
    private const int LongestReadMilliseconds = 250;

    private readonly LineText.Serial _setting;

    /// <summary>Half duplex: a reply may collide with what is sent, on two wires for sure, and nothing here knows how many there are.</summary>
    private SerialLine(string name, LineText.Serial setting, TimeProvider time, SynchronizationContext pump)
        : base(name, isHalfDuplex: true, time, pump) => _setting = setting;

    /// <summary>Threads still closing a port that does not let go, in this process's life of the line.</summary>
    public int StuckCloses { get; private set; }

    /// <summary>Opens the port for this process alone and starts reading.</summary>
    /// <param name="name">What messages call the line.</param>
    /// <param name="setting">Port and character format.</param>
    /// <param name="time">The pump's clock, which other threads may read in real time.</param>
    /// <param name="pump">Where received bytes are posted.</param>
    /// <exception cref="IOException">There is no such port, another program has it, or it does not take the setting.</exception>
    public static SerialLine Open(string name, LineText.Serial setting, TimeProvider time, SynchronizationContext pump)
    {
        ArgumentNullException.ThrowIfNull(setting);
        ArgumentNullException.ThrowIfNull(time);
        ArgumentNullException.ThrowIfNull(pump);
        var line = new SerialLine(name, setting, time, pump);
        try
        {
            line.Begin(line.Open());
        }
        catch (Exception trouble) when (line.IsTrouble(trouble))
        {
            throw new IOException($"{name}: {Refusal(setting, trouble)}", trouble);
        }
        return line;
    }

    private protected override string GoneWords => $"{_setting.Port} is gone";

    private protected override string RefusedWords => $"port lost: {_setting.Port} did not take what was sent";

    private protected override TimeSpan LongestFarewell => TimeSpan.FromSeconds(2);

    private protected override SerialPort Open()
    {
        if (!IsThere(_setting.Port))
            throw new IOException("no such port");
        var parity = _setting.Parity switch
        {
            SerialParity.Even => Parity.Even,
            SerialParity.Odd => Parity.Odd,
            _ => Parity.None,
        };
        var stop = _setting.StopBits == 2 ? StopBits.Two : StopBits.One;
        var port = new SerialPort(_setting.Port, _setting.Baud, parity, _setting.DataBits, stop)
        {
            ReadTimeout = LongestReadMilliseconds,
            WriteTimeout = LongestWriteMilliseconds,
        };
        try
        {
            OpenAt(port, _setting.Baud);
            port.DiscardInBuffer();
            return port;
        }
        catch (Exception trouble) when (IsTrouble(trouble))
        {
            Close(port);
            throw;
        }
    }

    private protected override string Read(SerialPort port)
    {
        var buffer = new byte[1024];
        var stream = port.BaseStream;
        while (!IsClosing)
        {
            try
            {
                var count = stream.Read(buffer, 0, buffer.Length);
                if (count <= 0)
                    return $"port lost: {_setting.Port} hung up";
                Tell(buffer.AsSpan(0, count));
            }
            catch (TimeoutException)
            {
                if (!IsUsed(port))
                    return RefusedWords;
                if (!IsThere(_setting.Port))
                    return $"port lost: {_setting.Port} is gone";
            }
            catch (Exception trouble) when (IsTrouble(trouble) || trouble is OperationCanceledException)
            {
                return $"port lost: {_setting.Port}: {SentenceText.Clause(trouble)}";
            }
        }
        return "closed here";
    }

    private protected override void Write(SerialPort port, ReadOnlySpan<byte> bytes)
    {
        // A port that hung up takes bytes into its queue for ever, and is then never closed: asked first.
        if (port.BytesToRead < 0)
            throw new IOException("it hung up");
        port.BaseStream.Write(bytes);
    }

    /// <summary>Nothing: its thread looks around every 250 ms.</summary>
    private protected override void Wake(SerialPort port) { }

    private protected override void Close(SerialPort port)
    {
        var closer = new Thread(() =>
        {
            try
            {
                // No new write begins on it; one under way ends first, within its own time.
                BetweenWrites(static () => { });
                port.Dispose();
            }
            catch (Exception gone) when (IsTrouble(gone))
            {
                // Gone already, which is what was wanted.
            }
        })
        {
            IsBackground = true,
            Name = $"close {Name}",
        };
        closer.Start();
        if (!closer.Join(LongestClose))
            StuckCloses++;
    }

    private protected override TimeSpan PauseBefore(int tries) => LookEvery;

    private protected override bool IsTrouble(Exception trouble) =>
        trouble is IOException or InvalidOperationException or UnauthorizedAccessException or ArgumentException;

    private static string Refusal(LineText.Serial setting, Exception trouble) =>
        !IsThere(setting.Port)
            ? $"there is no serial port {setting.Port}. Check that the adapter is plugged in, and its name."
        : trouble is UnauthorizedAccessException
            ? $"serial port {setting.Port} is held by another program, or this user may not open it: {SentenceText.Clause(trouble)}"
        : $"serial port {setting.Port} did not open at {setting.Words}: {SentenceText.Clause(trouble)}";

    /// <summary>Whether the name leads to a port at this moment.</summary>
    private static bool IsThere(string port) =>
        OperatingSystem.IsWindows()
            ? SerialPort.GetPortNames().Contains(port, StringComparer.OrdinalIgnoreCase)
            : File.Exists(port);

    /// <summary>Opens at a baud rate, in two steps where one is refused.</summary>
    /// <remarks>A pseudo-terminal keeps no parity, and the C library calls it an error to ask for one when nothing else changes.</remarks>
    private static void OpenAt(SerialPort port, int baud)
    {
        const int One = 9600;
        const int Other = 19200;
        try
        {
            port.Open();
        }
        catch (ArgumentException) when (!OperatingSystem.IsWindows())
        {
            port.BaudRate = baud == One ? Other : One;
            port.Open();
            port.BaudRate = baud;
        }
    }
}
