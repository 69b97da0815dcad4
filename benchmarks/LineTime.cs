using System.Diagnostics;
using System.Globalization;
using LoadTest.Commands;
using LoadTest.Instruments.Modbus;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Serving;

namespace LoadTest.Benchmarks;

/// <summary>How well the simulated serial line keeps the time of its baud rate, seen by a bare reader at the other end.</summary>
/// <remarks>
/// Expected: characters of request and reply, each of 11 bits, over the baud rate (MODBUS over serial line V1.02, 2.5.1), and the device's own
/// turn-around. The bare reader writes and reads the terminal without any library between.
/// </remarks>
internal static class LineTime
{
    private const string Bank = "bank-1";
    private const int Exchanges = 300;
    private static readonly byte[] Request = WithCheck([0x01, 0x04, 0x00, 0x00, 0x00, 0x0E]);
    private const int ReplyLength = 5 + (2 * 14);

    public static int Run()
    {
        Console.WriteLine("| baud | expected | median | from the line's own time | 90 % between |");
        Console.WriteLine("|---|---|---|---|---|");
        foreach (var baud in new[] { 9600, 19200, 115200 })
            Measure(baud);
        return 0;
    }

    private static void Measure(int baud)
    {
        var screen = new Screen(TextWriter.Null, TextWriter.Null, isTerminal: false, hasColour: false, isJson: true);
        var (bench, world) = InputFiles.ReadSimulated(screen, "demo-four-wires.yaml", null);
        var line = (LineText.Serial)bench.Instrument(Bank).Line with { Baud = baud };
        bench = bench with
        {
            Instruments = [.. bench.Instruments.Select(i => i.Id == Bank ? i with { Line = line } : i)],
        };
        var folder = Directory.CreateTempSubdirectory("time");
        var pump = Pump.Real(isExact: true);
        var end = new TaskCompletionSource();
        using (var server = new BenchServer(bench, world.World, pump, 1, new ServerSetting(_ => 0, folder.FullName)))
        {
            var thread = new Thread(() => pump.Run(() => end.Task)) { IsBackground = true };
            thread.Start();
            var took = Took(Path.Combine(folder.FullName, Bank));
            var wire = line.TimeOf(Request.Length + ReplyLength).TotalMilliseconds;
            var turnAround = world.World.Bank.TurnAroundMilliseconds;
            var median = took[took.Length / 2];
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"| {baud} | {wire:0.000} ms + {turnAround:0.0} ms | {median:0.000} ms | {100 * ((median - turnAround) / wire - 1):+0.0;-0.0} % | {took[took.Length / 20]:0.000} ms and {took[^(took.Length / 20)]:0.000} ms |"
                )
            );
            pump.Post(() => end.TrySetResult());
            thread.Join();
        }
        folder.Delete(recursive: true);
    }

    private static double[] Took(string port)
    {
        using var terminal = File.OpenHandle(port, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite);
        var reply = new byte[ReplyLength];
        var took = new double[Exchanges];
        for (var k = -20; k < Exchanges; k++)
        {
            // The silence before a request: at least 3.5 characters.
            Thread.Sleep(10);
            var start = Stopwatch.GetTimestamp();
            NativePty.write(terminal, ref Request[0], Request.Length);
            for (var got = 0; got < reply.Length; )
                got += (int)NativePty.read(terminal, reply, reply.Length - got);
            if (k >= 0)
                took[k] = Stopwatch.GetElapsedTime(start).TotalMilliseconds;
        }
        return [.. took.Order()];
    }

    private static byte[] WithCheck(byte[] frame)
    {
        var crc = Crc16.Of(frame);
        return [.. frame, (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }
}
