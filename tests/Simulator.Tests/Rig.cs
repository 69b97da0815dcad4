using System.Text;
using LoadTest.Simulator;
using LoadTest.Simulator.Parameters;

namespace LoadTest.SimulatorTests;

/// <summary>A bench in virtual time with its wires in the test's hand.</summary>
internal sealed class Rig : IDisposable
{
    public const string Secret = "00ff17";

    private readonly Dictionary<string, List<byte>> _heard = new(StringComparer.Ordinal);

    public Rig(WorldFile? world = null, ulong seed = 1)
    {
        Bench = SimulatedBench.Create(world ?? WorldFile.Demo(), Time, seed, Secret);
        foreach (var device in Bench.Devices)
        {
            var heard = _heard[device.Name] = [];
            device.Answer = bytes => heard.AddRange(bytes.Span);
        }
    }

    public VirtualTime Time { get; } = new();
    public SimulatedBench Bench { get; }

    public SimulatedDevice this[string name] => Bench.Devices.Single(device => device.Name == name);

    /// <summary>A demo world with everything that blurs a law taken out.</summary>
    public static WorldFile Ideal()
    {
        var world = WorldFile.Demo();
        return world with
        {
            Control = world.Control with
            {
                GainErrorPercent = 0,
                OffsetPercent = 0,
                HandPercent = 0,
                AmperesPerVolt = 0,
            },
            UnitShunt = Pure(world.UnitShunt),
            ReferenceShunt = Pure(world.ReferenceShunt),
            Bank = world.Bank with
            {
                TolerancePercent = 0,
                PpmPerKelvin = 0,
                VoltsErrorPercent = 0,
                AmperesErrorPercent = 0,
                NoisePercent = 0,
            },
            Meters = world
                .Meters.Select(meter => meter with { GainErrorPpm = 0, OffsetPpm = 0, NoisePpm = 0, WarmUpPpm = 0 })
                .ToArray(),
            Panel = world.Panel with { AmperesErrorPercent = 0, VoltsErrorPercent = 0, AmperesDigit = 0.001 },
        };
    }

    /// <summary>Sends bytes and gives what came back within a time.</summary>
    public byte[] Exchange(string device, byte[] request, double seconds = 1)
    {
        _heard[device].Clear();
        this[device].Receive(request);
        Time.Pass(seconds);
        return _heard[device].ToArray();
    }

    /// <summary>Sends a line and gives the line that came back, without its end; empty when none came.</summary>
    public string Ask(string device, string line, double seconds = 1) =>
        Encoding.ASCII.GetString(Exchange(device, Encoding.UTF8.GetBytes(line + "\n"), seconds)).TrimEnd('\n');

    /// <summary>Bytes written as in the standards: 01 0F 00.</summary>
    public static byte[] Hex(string bytes) => Convert.FromHexString(bytes.Replace(" ", "", StringComparison.Ordinal));

    /// <summary>An exchange with the bank in RTU framing, checksum added and checked; the reply without frame.</summary>
    public byte[] Bank(string pdu, double seconds = 0.1)
    {
        var answer = Exchange("bank-1", Rtu(1, Hex(pdu)), seconds);
        Assert.True(answer.Length >= 5, $"the bank answered {answer.Length} bytes to {pdu}");
        Assert.Equal(Rtu(answer[0], answer[1..^2]), answer);
        return answer[1..^2];
    }

    /// <summary>Closes elements and starts the fan, and waits for the contactors.</summary>
    public void Close(byte elements)
    {
        Bank("05 00 08 FF 00", 0.1);
        Time.Pass(5);
        Assert.Equal(Hex("0F 00 00 00 08"), Bank($"0F 00 00 00 08 01 {elements:X2}", 0.2));
    }

    /// <summary>Engine and output on, everything run up.</summary>
    public void RunUp()
    {
        Assert.True(Bench.Source.StartEngine().IsDone);
        Time.Pass(10);
        Assert.True(Bench.Source.SetOutput(on: true).IsDone);
        Time.Pass(5);
    }

    public static byte[] Rtu(byte unit, byte[] pdu)
    {
        var frame = new List<byte> { unit };
        frame.AddRange(pdu);

        // Checksum bit by bit as MODBUS over serial line V1.02, 6.2.2 describes it; not the simulator's table.
        var crc = 0xFFFF;
        foreach (var b in frame)
        {
            crc ^= b;
            for (var i = 0; i < 8; i++)
            {
                crc = (crc & 1) != 0 ? crc >> 1 ^ 0xA001 : crc >> 1;
            }
        }

        frame.Add((byte)(crc & 0xFF));
        frame.Add((byte)(crc >> 8));
        return frame.ToArray();
    }

    public void Dispose() => Bench.Dispose();

    private static ShuntWorld Pure(ShuntWorld shunt) =>
        shunt with
        {
            RatioErrorPercent = 0,
            PpmPerKelvin = 0,
            EmfMicrovoltsPerKelvin = 0,
        };
}
