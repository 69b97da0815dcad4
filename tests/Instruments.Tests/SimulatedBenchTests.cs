using System.Collections.Immutable;
using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;
using FileBench = LoadTest.Sequencer.Benches.Bench;

namespace LoadTest.InstrumentsTests;

/// <summary>The adapters, driven by the shipped definition files, against the simulated bench, whose codecs are its own.</summary>
public sealed class SimulatedBenchTests
{
    [Theory]
    [InlineData("modbus-rtu")]
    [InlineData("modbus-tcp")]
    public void Every_instrument_of_the_demo_bench_identifies_configures_and_reads(string protocol) =>
        OnBench(
            protocol,
            async (rig, _) =>
            {
                foreach (var (instrument, connected) in rig.Instruments)
                {
                    var meter = connected.Meter;
                    Assert.Equal(CommandResult.Ok, (await meter.IdentifyAsync(CancellationToken.None)).Result);
                    Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
                    var names = instrument.Definition.Inputs.Select(i => i.Name).ToImmutableArray();
                    var readings = await meter.ReadAsync(names, CancellationToken.None);
                    Assert.All(readings, r => Assert.Equal(IndicationFlag.Good, r.Flag));
                    Assert.Equal(0, connected.Link.BadFrames + connected.Link.Timeouts + connected.Link.Discarded);
                }
            }
        );

    [Theory]
    [InlineData("modbus-rtu")]
    [InlineData("modbus-tcp")]
    public void Contacts_follow_what_was_switched_and_all_off_opens_them(string protocol) =>
        OnBench(
            protocol,
            async (rig, pump) =>
            {
                var removal = Some.Removal(rig.Load);
                await rig.Load.SetFanAsync(true, CancellationToken.None);
                var wanted = new ElementSet(0b1010_0110);
                Assert.Equal(
                    CommandResult.Ok,
                    await rig.Load.SwitchAsync(wanted, removal.Permit(), CancellationToken.None)
                );
                await Task.Delay(TimeSpan.FromSeconds(2), pump, CancellationToken.None);
                var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
                Assert.Equal((wanted, wanted), (states.Commanded, states.Contacts));
                Assert.Equal(wanted.Mask, rig.Bench.ElementsOn);
                Assert.True(states.HasAirFlow);
                Assert.False(states.IsOverTemperature);
                Assert.True(states.IsStopHealthy);

                removal.RemoveLoad(Some.Cause);
                await Task.Delay(TimeSpan.FromMilliseconds(100), pump, CancellationToken.None);
                Assert.False(rig.Bench.AnyElementEnergised);
                states = await rig.Load.ReadStatesAsync(CancellationToken.None);
                Assert.Equal((ElementSet.None, ElementSet.None), (states.Commanded, states.Contacts));
            }
        );

    [Fact]
    public void Watchdog_armed_at_the_gate_opens_the_contactors_when_nobody_polls_any_more() =>
        OnBench(
            "modbus-rtu",
            async (rig, pump) =>
            {
                var removal = Some.Removal(rig.Load);
                Assert.Equal(CommandResult.Ok, await rig.BankMeter.ConfigureAsync(CancellationToken.None));
                await rig.Load.SetFanAsync(true, CancellationToken.None);
                await rig.Load.SwitchAsync(new ElementSet(1), removal.Permit(), CancellationToken.None);
                for (var k = 0; k < 50; k++)
                {
                    await Task.Delay(TimeSpan.FromMilliseconds(100), pump, CancellationToken.None);
                    await rig.Load.ReadStatesAsync(CancellationToken.None);
                }
                Assert.True(rig.Bench.AnyElementEnergised);
                await Task.Delay(TimeSpan.FromSeconds(3), pump, CancellationToken.None);
                Assert.False(rig.Bench.AnyElementEnergised);
            }
        );

    [Theory]
    [InlineData("meter-overload", IndicationFlag.Overload)]
    [InlineData("meter-not-a-number", IndicationFlag.NotANumber)]
    [InlineData("instrument-silent", IndicationFlag.Missing)]
    public void Meter_fault_is_a_flag(string fault, IndicationFlag flag) =>
        OnBench(
            "modbus-rtu",
            async (rig, _) =>
            {
                var meter = rig.Instruments.Single(i => i.Instrument.Id == "dmm-1").Connected.Meter;
                await meter.ConfigureAsync(CancellationToken.None);
                rig.Bench.Inject(new Fault(fault, "dmm-1"));
                var reading = (await meter.ReadAsync(["volts"], CancellationToken.None))[0];
                Assert.Equal(flag, reading.Flag);
            }
        );

    [Fact]
    public void Busy_bank_ends_within_its_deadline() =>
        OnBench(
            "modbus-rtu",
            async (rig, pump) =>
            {
                rig.Bench.Inject(new Fault("busy", rig.BankMeter.Name));
                var start = pump.GetTimestamp();
                var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
                Assert.Equal(CommandOutcome.Failed, states.Outcome);
                Assert.Contains("server device busy", states.Detail, StringComparison.Ordinal);
                Assert.InRange(pump.GetElapsedTime(start), TimeSpan.Zero, TimeSpan.FromMilliseconds(120));
            }
        );

    /// <remarks>The three inputs of a cold bank at rest differ: 0 V, 0 A, and some 20 °C. A shifted reply would show.</remarks>
    [Theory]
    [InlineData("modbus-rtu")]
    [InlineData("modbus-tcp")]
    public void Line_faults_of_the_simulator_never_move_a_value_to_another_input(string protocol) =>
        Gen.Select(
                Gen.OneOf(
                    Gen.Const("drop-reply"),
                    Gen.Const("late-reply"),
                    Gen.Const("corrupt-reply"),
                    Gen.Const("duplicate-reply")
                ),
                Gen.Int[0, 12],
                Gen.Int[1, 900]
            )
            .Array[1, 12]
            .Sample(
                faults =>
                    OnBench(
                        protocol,
                        async (rig, _) =>
                        {
                            var next = 0;
                            for (var k = 0; k < 60; k++)
                            {
                                // A flipped bit inside a TCP frame is what TCP's own checksum is for; it is left out there.
                                while (next < faults.Length && faults[next].Item2 + next * 4 <= k)
                                {
                                    var (name, _, ms) = faults[next++];
                                    if (protocol == "modbus-tcp" && name == "corrupt-reply")
                                        continue;
                                    rig.Bench.Inject(
                                        new Fault(name, "bank-1", Value: name == "late-reply" ? ms : null)
                                    );
                                }
                                var input = k % 2 == 0 ? "volts" : "outlet temperature";
                                var reading = (await rig.BankMeter.ReadAsync([input], CancellationToken.None))[0];
                                if (reading.Flag != IndicationFlag.Good)
                                    continue;
                                Assert.True(
                                    input == "volts" ? Math.Abs(reading.Value) < 2 : reading.Value is > 10 and < 40,
                                    $"{input} read {reading.Value}"
                                );
                            }
                        }
                    ),
                iter: 200
            );

    private static void OnBench(string protocol, Func<Rig, Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        using var rig = new Rig(pump, protocol);
        pump.Run(() => body(rig, pump));
    }

    private sealed class Rig : IDisposable
    {
        public Rig(Pump pump, string protocol)
        {
            var world = WorldFile.Demo();
            world = world with { Bank = world.Bank with { Protocol = protocol } };
            Bench = SimulatedBench.Create(world, pump, 1);
            var file = ReadBench(protocol == "modbus-tcp" ? "demo-modbus-tcp.yaml" : "demo.yaml");
            Instruments =
            [
                .. file.Instruments.Select(instrument =>
                    (
                        instrument,
                        InstrumentFactory.Create(
                            instrument,
                            instrument.Id == file.Bank.InstrumentId ? file.Bank : null,
                            Join(Bench.Devices.Single(d => d.Name == instrument.Id), pump),
                            pump
                        )
                    )
                ),
            ];
            var bank = Instruments.Single(i => i.Connected.Load is not null);
            Load = bank.Connected.Load!;
            BankMeter = bank.Connected.Meter;
        }

        public SimulatedBench Bench { get; }

        public ImmutableArray<(BenchInstrument Instrument, ConnectedInstrument Connected)> Instruments { get; }

        public ILoad Load { get; }

        public IMeter BankMeter { get; }

        public void Dispose() => Bench.Dispose();

        private static MemoryLine Join(SimulatedDevice device, Pump pump)
        {
            var line = new MemoryLine(device.Name, device.Protocol == "modbus-rtu", pump) { ToDevice = device.Receive };
            device.Answer = line.Deliver;
            return line;
        }

        private static FileBench ReadBench(string name)
        {
            var folder = Path.Combine(AppContext.BaseDirectory, "profiles");
            return BenchReader
                .Read(
                    name,
                    File.ReadAllBytes(Path.Combine(folder, "benches", name)),
                    definition => new ReadOnlyMemory<byte>(File.ReadAllBytes(Path.Combine(folder, definition)))
                )
                .Value!;
        }
    }
}
