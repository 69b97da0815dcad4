using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Benchmarks;

/// <summary>What one reading costs on our side: encode, gate, send, match, decode, complete; the device answers from a table.</summary>
internal static class ExchangeSpeed
{
    private const int Readings = 400_000;
    private static readonly Place Place = new("benchmark", 0, 0);

    public static int Run()
    {
        Console.WriteLine("reading                                     µs    bytes allocated");
        Show("modbus tcp, two singles in one request", Protocol.ModbusTcp, TimeSpan.Zero);
        Show("modbus rtu, same, no turn-around", Protocol.ModbusRtu, TimeSpan.Zero);
        Show("modbus rtu, same, 2 ms turn-around timer", Protocol.ModbusRtu, TimeSpan.FromMilliseconds(2));
        Show("scpi, one number", Protocol.Scpi, TimeSpan.Zero);
        return 0;
    }

    private static void Show(string what, Protocol protocol, TimeSpan turnAround)
    {
        Measure(protocol, turnAround);
        var best = Enumerable.Range(0, 5).Select(_ => Measure(protocol, turnAround)).OrderBy(m => m.Micros).ToArray();
        var median = best[best.Length / 2];
        Console.WriteLine(
            string.Create(CultureInfo.InvariantCulture, $"{what, -41} {median.Micros, 5:0.00}    {median.Bytes:0}")
        );
    }

    private static (double Micros, double Bytes) Measure(Protocol protocol, TimeSpan turnAround)
    {
        var pump = Pump.Virtual(DateTimeOffset.UnixEpoch);
        var line = new MemoryLine("line", protocol == Protocol.ModbusRtu, pump);
        var reply = protocol switch
        {
            Protocol.ModbusTcp => Convert.FromHexString("00000000000B010408420151EC43960000"),
            Protocol.ModbusRtu => WithCheck(Convert.FromHexString("010408420151EC43960000")),
            _ => "+3.20012345E+01\n"u8.ToArray(),
        };
        line.ToDevice = request =>
        {
            if (protocol == Protocol.ModbusTcp)
                request[..2].CopyTo(reply);
            line.Deliver(reply);
        };
        var meter = InstrumentFactory.Create(Instrument(protocol, turnAround), null, line, pump).Meter;
        ImmutableArray<string> inputs = protocol == Protocol.Scpi ? ["volts"] : ["volts", "amperes"];
        var good = 0;
        var bytes = GC.GetAllocatedBytesForCurrentThread();
        var watch = Stopwatch.GetTimestamp();
        pump.Run(async () =>
        {
            for (var k = 0; k < Readings; k++)
            {
                var indications = await meter.ReadAsync(inputs, CancellationToken.None);
                if (indications[0].Flag == IndicationFlag.Good)
                    good++;
            }
        });
        var micros = Stopwatch.GetElapsedTime(watch).TotalMicroseconds / Readings;
        if (good != Readings)
            throw new InvalidOperationException($"{Readings - good} readings were not good.");
        return (micros, (GC.GetAllocatedBytesForCurrentThread() - bytes) / (double)Readings);
    }

    internal static BenchInstrument Instrument(Protocol protocol, TimeSpan turnAround, double deadlineSeconds = 0.1)
    {
        var isScpi = protocol == Protocol.Scpi;
        IdentityCheck identity = isScpi
            ? new IdentityCheck.IdentificationQuery("MAKER", "MODEL")
            : new IdentityCheck.KnownRegister(Single(2), 1234.5, null);
        var definition = new InstrumentDefinition(
            "benchmark",
            protocol,
            TimeSpan.FromSeconds(deadlineSeconds),
            turnAround,
            isScpi ? 0 : 1,
            identity,
            [Input("volts", 8, isScpi), Input("amperes", 10, isScpi)],
            null,
            Place
        );
        return new BenchInstrument("line", "benchmark", definition, new LineText.Simulated("line"), null, null, Place);
    }

    private static InputDefinition Input(string name, int address, bool isScpi) =>
        new(
            name,
            Unit.Volt,
            TimeSpan.Zero,
            100,
            0.01,
            new AccuracySpecification(0, 0, 0, 0, 0, 0, TimeSpan.Zero),
            isScpi ? null : Single(address),
            isScpi ? new InputCommands([], [], "READ?") : null,
            Place
        );

    private static RegisterText Single(int address) =>
        new(RegisterTable.InputRegister, address, RegisterForm.Float32, false, 1);

    internal static byte[] WithCheck(byte[] frame)
    {
        var crc = LoadTest.Instruments.Modbus.Crc16.Of(frame);
        return [.. frame, (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }
}
