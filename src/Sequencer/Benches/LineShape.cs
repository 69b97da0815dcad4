using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>How an instrument is reached: a simulated device, a TCP address, a serial port, or by a person.</summary>
internal static class LineShape
{
    private static readonly Key<string> Device = Key.Optional(
        "simulated device",
        Of.Text("dmm-1"),
        "Name of the device in the simulated world."
    );
    private static readonly Key<string> Host = Key.Optional("host", new HostShape(), "Host name or address.");
    private static readonly Key<int> Port = Key.Optional("port", new CountShape(1, 65535), "TCP port.", "port: 502");
    private static readonly Key<string> SerialPort = Key.Optional(
        "serial port",
        Of.Text("/dev/serial/by-id/usb-ADAPTER_A1B2-if00-port0"),
        "Serial port, by the name that stays with the adapter; on Windows `COM3`."
    );
    private static readonly Key<int> Baud = Key.Optional(
        "baud",
        new CountShape(300, 1_000_000),
        "Bits a second, as set on the instrument.",
        "baud: 19200"
    );
    private static readonly Key<SerialParity> Parity = Key.Optional(
        "parity",
        new WordShape<SerialParity>([
            ("even", SerialParity.Even),
            ("odd", SerialParity.Odd),
            ("none", SerialParity.None),
        ]),
        "Parity bit, as set on the instrument."
    );
    private static readonly Key<int> DataBits = Key.Optional(
        "data bits",
        new CountShape(7, 8),
        "Data bits; 8 when left out.",
        "data bits: 8"
    );
    private static readonly Key<int> StopBits = Key.Optional(
        "stop bits",
        new CountShape(1, 2),
        "Stop bits; 1 when left out.",
        "stop bits: 1"
    );

    private static readonly Key<bool> Person = Key.Optional(
        "person",
        new WordShape<bool>([("yes", true)]),
        "No wire: a person reads the instrument and types.",
        "person: yes"
    );

    /// <summary>The line.</summary>
    internal static readonly MappingShape<LineText> Line = new(
        "line",
        Of.Keys(Device, Host, Port, SerialPort, Baud, Parity, DataBits, StopBits, Person),
        f =>
            f.Has(Person) ? new LineText.Person("")
            : f.Has(Device) ? new LineText.Simulated(f.Get(Device))
            : f.Has(Host) ? new LineText.Tcp(f.Get(Host), f.Get(Port))
            : new LineText.Serial(
                f.Get(SerialPort),
                f.Get(Baud),
                f.Get(Parity),
                f.Get(DataBits, 8),
                f.Get(StopBits, 1)
            ),
        Check
    );

    private static void Check(Fields f)
    {
        var isTcp = f.Has(Host) || f.Has(Port);
        var isSerial = new Key[] { SerialPort, Baud, Parity, DataBits, StopBits }.Any(f.Has);
        var isWhole =
            (!isTcp || (f.Has(Host) && f.Has(Port)))
            && (!isSerial || (f.Has(SerialPort) && f.Has(Baud) && f.Has(Parity)));
        if (!isWhole || (f.Has(Device) ? 1 : 0) + (isTcp ? 1 : 0) + (isSerial ? 1 : 0) + (f.Has(Person) ? 1 : 0) != 1)
        {
            f.Findings.Error(
                f.Place,
                "line is either `simulated device`, or `host` with `port`, or `serial port` with `baud` and `parity`, or `person: yes`. Give one of them."
            );
        }
        if (f.TryGet(SerialPort, out var name) && IsPassing(name))
        {
            f.Findings.Warn(
                f.PlaceOf(SerialPort),
                $"`{name}` is given to whichever adapter is plugged in first. Name this one by its link under /dev/serial/by-id."
            );
        }
    }

    private static bool IsPassing(string name) =>
        name.StartsWith("/dev/ttyUSB", StringComparison.Ordinal)
        || name.StartsWith("/dev/ttyACM", StringComparison.Ordinal);
}
