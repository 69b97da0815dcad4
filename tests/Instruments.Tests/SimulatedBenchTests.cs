using System.Collections.Immutable;
using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Faults;

namespace LoadTest.InstrumentsTests;

/// <summary>The adapters, driven by the shipped definition files, against the simulated bench, whose codecs are its own.</summary>
public sealed class SimulatedBenchTests
{
    [Theory]
    [InlineData("modbus-rtu")]
    [InlineData("modbus-tcp")]
    public void Every_instrument_of_the_demo_bench_identifies_configures_and_reads(string protocol) =>
        SimulatedRig.OnBench(
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
        SimulatedRig.OnBench(
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
        SimulatedRig.OnBench(
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
        SimulatedRig.OnBench(
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
        SimulatedRig.OnBench(
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
                    Gen.Const("duplicate-reply"),
                    Gen.Const("drop-request"),
                    Gen.Const("split-reply"),
                    Gen.Const("drip-reply"),
                    Gen.Const("merge-replies"),
                    Gen.Const("echo"),
                    Gen.Const("garbage"),
                    Gen.Const("wrong-unit"),
                    Gen.Const("wrong-transaction")
                ),
                Gen.Int[0, 12],
                Gen.Int[1, 900]
            )
            .Array[1, 12]
            .Sample(
                faults =>
                    SimulatedRig.OnBench(
                        protocol,
                        async (rig, _) =>
                        {
                            var next = 0;
                            for (var k = 0; k < 60; k++)
                            {
                                // A flipped or foreign byte in a TCP stream is what TCP's own checksum is for; it is left out there.
                                while (next < faults.Length && faults[next].Item2 + next * 4 <= k)
                                {
                                    var (name, _, ms) = faults[next++];
                                    if (name is "corrupt-reply" or "garbage" && protocol == "modbus-tcp")
                                        continue;
                                    if (name == "wrong-transaction" && protocol != "modbus-tcp")
                                        continue;
                                    var isTimed = name is "late-reply" or "split-reply" or "drip-reply";
                                    rig.Bench.Inject(new Fault(name, "bank-1", Value: isTimed ? ms : null));
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
}
