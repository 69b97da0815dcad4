using System.Collections.Immutable;
using CsCheck;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Modbus;

/// <summary>Whatever the wire does, a value belongs to the register that was asked for, or there is none.</summary>
/// <remarks>
/// The device keeps order, as wires and devices do. Not covered, because RTU carries nothing to tell it by: a second copy
/// of a reply that comes later than the turn-around silence.
/// </remarks>
public sealed class StaleReplyTests
{
    private static readonly Gen<Mishap> Harmless = Gen.Const(Mishap.None);

    private static readonly Gen<Mishap> Either = Gen.OneOf(
        Gen.Const(Mishap.Dropped),
        Gen.Int[1, 2000].Select(ms => Mishap.Late(TimeSpan.FromMilliseconds(ms))),
        Gen.Const(Mishap.Merged),
        Gen.Int[1, 20].Select(Mishap.Split),
        Gen.Int[1, 20].Select(Mishap.Cut),
        Gen.Int[1, 400].Select(ms => Mishap.Drip(TimeSpan.FromMilliseconds(ms)))
    );

    private static readonly Gen<Mishap> Rtu = Gen.OneOf(
        Either,
        Gen.Int[0, 63].Select(Mishap.Flipped),
        Gen.Int[0, 3].Select(ms => Mishap.Twice(TimeSpan.FromMilliseconds(ms))),
        Gen.Byte.Array[1, 6].Select(Mishap.Prefixed)
    );

    // TCP has a checksum of its own: bits are flipped only where the frame itself must notice, behind the number.
    private static readonly Gen<Mishap> Tcp = Gen.OneOf(
        Either,
        Gen.Int[16, 71].Select(Mishap.Flipped),
        Gen.Int[0, 300].Select(ms => Mishap.Twice(TimeSpan.FromMilliseconds(ms)))
    );

    [Fact]
    public void Rtu_value_is_never_another_registers() => Hold(Protocol.ModbusRtu, Rtu, 1500);

    [Fact]
    public void Tcp_value_is_never_another_registers() => Hold(Protocol.ModbusTcp, Tcp, 1500);

    [Fact]
    public void After_the_last_mishap_the_link_comes_back_by_itself() =>
        Gen.Select(Gen.Bool, Rtu.Array[1, 6])
            .Sample(
                (isTcp, mishaps) =>
                    OnPump(async pump =>
                    {
                        var meter = Meter(pump, isTcp ? Protocol.ModbusTcp : Protocol.ModbusRtu, out var device);
                        foreach (var mishap in mishaps)
                            device.Mishaps.Enqueue(mishap);
                        var end = pump.GetTimestamp() + TimeSpan.FromSeconds(60).Ticks;
                        while (device.Mishaps.Count > 0 && pump.GetTimestamp() < end)
                            await meter.ReadAsync(["r1"], CancellationToken.None);
                        // Six replies dripped one after the other take up to 27 s to leave the device.
                        await Task.Delay(TimeSpan.FromSeconds(40), pump, CancellationToken.None);
                        var last = ImmutableArray<Indication>.Empty;
                        // The known question is asked once more for each time it went unanswered, at most eight times.
                        for (var k = 0; k < 10; k++)
                            last = await meter.ReadAsync(["r1"], CancellationToken.None);
                        Assert.Equal(IndicationFlag.Good, last[0].Flag);
                    }),
                iter: 500
            );

    private static void Hold(Protocol protocol, Gen<Mishap> bad, int iterations)
    {
        var mishap = Gen.Frequency((3, Harmless), (1, bad));
        Gen.Select(mishap.Array[1, 40], Gen.Int[1, 20].Array[40])
            .Sample(
                (mishaps, registers) =>
                    OnPump(async pump =>
                    {
                        var meter = Meter(pump, protocol, out var device);
                        foreach (var next in mishaps)
                            device.Mishaps.Enqueue(next);
                        foreach (var register in registers)
                        {
                            var start = pump.GetTimestamp();
                            var reading = (await meter.ReadAsync([$"r{register}"], CancellationToken.None))[0];
                            if (reading.Flag == IndicationFlag.Good)
                                Assert.Equal(register, reading.Value);
                            // Getting in step and reading: each may wait for the line and for the reply.
                            Assert.InRange(pump.GetTimestamp() - start, 0, 4 * Some.Deadline.Ticks + 10);
                        }
                    }),
                iter: iterations
            );
    }

    private static IMeter Meter(Pump pump, Protocol protocol, out OwnAddressDevice device)
    {
        var isTcp = protocol == Protocol.ModbusTcp;
        device = new OwnAddressDevice(pump, isTcp, Some.Unit);
        var line = new MemoryLine("meter", !isTcp, pump) { ToDevice = device.Receive };
        device.Answer = line.Deliver;
        var inputs = Enumerable.Range(1, 20).Select(k => Some.Input($"r{k}", Some.Register(k))).ToArray();
        var definition = Some.Modbus(protocol, null, inputs);
        return InstrumentFactory.Create(Some.Instrument("meter", definition), null, line, pump).Meter;
    }

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }
}
