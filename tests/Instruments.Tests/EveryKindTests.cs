using System.Collections.Immutable;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Devices;
using LoadTest.Instruments.Meters;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests;

/// <summary>Every shipped definition file against the device of the simulated bench that answers it; the two share no codec.</summary>
public sealed class EveryKindTests
{
    private static readonly CancellationToken None = CancellationToken.None;

    // File, world, device, serial number.
    private static readonly (string File, string World, string Device, string Serial)[] Answered =
    [
        ("element-bank-modbus-rtu.yaml", "rtu", "bank-1", "40217"),
        ("element-bank-modbus-tcp.yaml", "tcp", "bank-1", "40217"),
        ("element-bank-dc-ac-modbus-tcp.yaml", "workshop", "bank-1", "40218"),
        ("element-bank-text.yaml", "every kind", "bank-1", "40217"),
        ("ac-bank-modbus-rtu.yaml", "every kind", "ac-bank-1", "40331"),
        ("power-meter-modbus-tcp.yaml", "workshop", "power-1", ""),
        ("power-meter-three-phase-modbus-tcp.yaml", "every kind", "power-1", "60123"),
        ("multimeter-100-v.yaml", "every kind", "dmm-1", "SM-1001"),
        ("multimeter-100-mv.yaml", "every kind", "dmm-2", "SM-1002"),
        ("multimeter-100-v-fast.yaml", "every kind", "dmm-4", "SM-1004"),
        ("multimeter-100-v-serial.yaml", "every kind", "dmm-4", "SM-1004"),
        ("temperature-logger-modbus-tcp.yaml", "workshop", "logger-1", ""),
        ("temperature-logger-text.yaml", "every kind", "logger-1", "51007"),
        ("relays-and-setter-modbus-rtu.yaml", "every kind", "relays-1", "70011"),
        ("panel-meter-text.yaml", "every kind", "panel-1", "7007"),
    ];

    public static TheoryData<string> Files => new(Answered.Select(a => a.File));

    [Fact]
    public void Every_shipped_definition_has_a_device_that_answers_it()
    {
        var folder = Path.Combine(AppContext.BaseDirectory, "profiles", "instruments");
        Assert.Equal(
            Directory.EnumerateFiles(folder, "*.yaml").Select(f => Path.GetFileName(f)!).Order(StringComparer.Ordinal),
            Answered.Select(a => a.File).Append("hand-meter.yaml").Order(StringComparer.Ordinal)
        );
    }

    [Theory]
    [MemberData(nameof(Files))]
    public void Instrument_identifies_configures_inspects_and_reads(string file) =>
        On(
            file,
            async (connected, rig, pump) =>
            {
                var identity = await connected.Meter.IdentifyAsync(None);
                Assert.Equal(CommandResult.Ok, identity.Result);
                Assert.Equal(CommandResult.Ok, await connected.Meter.ConfigureAsync(None));
                Assert.All(
                    await connected.Inspect!.InspectAsync(None),
                    i => Assert.Equal(InspectedState.AsExpected, i.State)
                );
                var names = EveryKindRig.Definition(file).Inputs.Select(i => i.Name).ToImmutableArray();
                Assert.All(
                    await connected.Meter.ReadAsync(names, None),
                    r => Assert.Equal(IndicationFlag.Good, r.Flag)
                );
                Assert.Equal(0, connected.Link.BadFrames + connected.Link.Timeouts + connected.Link.Discarded);
            }
        );

    [Theory]
    [MemberData(nameof(Files))]
    public void Another_serial_number_is_refused(string file) =>
        OnPump(async pump =>
        {
            var (_, world, device, serial) = Answered.Single(a => a.File == file);
            if (serial.Length == 0)
                return;
            using var rig = new EveryKindRig(World(world), pump);
            var identity = await rig.Connect(file, device, "99999").Meter.IdentifyAsync(None);
            Assert.Equal(CommandOutcome.Failed, identity.Result.Outcome);
            Assert.Contains($"99999 was expected, {serial} answered", identity.Result.Detail, StringComparison.Ordinal);
        });

    [Theory]
    [InlineData("element-bank-modbus-rtu.yaml", 0b1010_0110u)]
    [InlineData("element-bank-modbus-tcp.yaml", 0b1010_0110u)]
    [InlineData("element-bank-dc-ac-modbus-tcp.yaml", 0b1010_0110_0110u)]
    [InlineData("element-bank-text.yaml", 0b1010_0110u)]
    [InlineData("ac-bank-modbus-rtu.yaml", 0b10_0110u)]
    public void Contacts_follow_what_was_switched_and_all_off_opens_them(string file, uint mask) =>
        On(
            file,
            async (connected, rig, pump) =>
            {
                var load = connected.Load!;
                var removal = Some.Removal(load);
                Assert.Equal(CommandResult.Ok, await load.SetFanAsync(true, None));
                Assert.Equal(CommandResult.Ok, await load.SwitchAsync(new ElementSet(mask), removal.Permit(), None));
                await Task.Delay(TimeSpan.FromSeconds(2), pump, None);
                var on = await load.ReadStatesAsync(None);
                Assert.Equal((mask, mask), (on.Commanded.Mask, on.Contacts.Mask));
                Assert.True(on.HasAirFlow);
                Assert.NotEqual(true, on.IsOverTemperature);
                Assert.True(on.IsStopHealthy);

                removal.RemoveLoad(Some.Cause);
                await Task.Delay(TimeSpan.FromMilliseconds(300), pump, None);
                var off = await load.ReadStatesAsync(None);
                Assert.Equal((ElementSet.None, ElementSet.None), (off.Commanded, off.Contacts));
                Assert.Equal(
                    CommandOutcome.Failed,
                    (await load.SwitchAsync(new ElementSet(1), removal.Permit(), None)).Outcome
                );
            }
        );

    [Theory]
    [InlineData("element-bank-text.yaml")]
    [InlineData("ac-bank-modbus-rtu.yaml")]
    public void Watchdog_of_the_definition_opens_the_elements_when_nobody_asks_any_more(string file) =>
        On(
            file,
            async (connected, rig, pump) =>
            {
                var load = connected.Load!;
                Assert.Equal(CommandResult.Ok, await connected.Meter.ConfigureAsync(None));
                await load.SetFanAsync(true, None);
                await load.SwitchAsync(new ElementSet(1), Some.Removal(load).Permit(), None);
                await Task.Delay(TimeSpan.FromSeconds(1.5), pump, None);
                Assert.Equal(1u, (await load.ReadStatesAsync(None)).Contacts.Mask);
                await Task.Delay(TimeSpan.FromSeconds(3), pump, None);
                Assert.Equal(0u, (await load.ReadStatesAsync(None)).Contacts.Mask);
            }
        );

    [Fact]
    public void Stop_button_is_seen_over_lines_of_text_and_a_refused_command_is_said_in_the_banks_words() =>
        On(
            "element-bank-text.yaml",
            async (connected, rig, pump) =>
            {
                rig.Bench.Source.PressStop(true);
                await Task.Delay(TimeSpan.FromMilliseconds(200), pump, None);
                Assert.False((await connected.Load!.ReadStatesAsync(None)).IsStopHealthy);
                var refused = await connected.Load.SwitchAsync(
                    new ElementSet(1),
                    Some.Removal(connected.Load).Permit(),
                    None
                );
                Assert.Equal(CommandOutcome.Failed, refused.Outcome);
                Assert.Contains("SET 01 was refused with \"ERR 4\"", refused.Detail, StringComparison.Ordinal);
            }
        );

    [Fact]
    public void Swapped_words_give_the_volts_of_the_auxiliary_output() =>
        On(
            "power-meter-three-phase-modbus-tcp.yaml",
            async (connected, rig, pump) =>
            {
                rig.Bench.Source.StartEngine();
                await Task.Delay(TimeSpan.FromSeconds(20), pump, None);
                var read = await connected.Meter.ReadAsync(["volts 1", "frequency"], None);
                Assert.InRange(read[0].Value, 110, 130);
                Assert.InRange(read[1].Value, 58, 63);
            }
        );

    [Fact]
    public void Ac_bank_reads_the_power_its_elements_draw() =>
        On(
            "ac-bank-modbus-rtu.yaml",
            async (connected, rig, pump) =>
            {
                rig.Bench.Source.StartEngine();
                await Task.Delay(TimeSpan.FromSeconds(20), pump, None);
                var load = connected.Load!;
                await load.SwitchAsync(new ElementSet(0b1), Some.Removal(load).Permit(), None);
                var read = await connected.Meter.ReadAsync(["volts", "amperes", "watts"], None);
                // Ohm's law on its first element, 144 Ω.
                Assert.Equal(read[0].Value / 144, read[1].Value, 0.02);
                Assert.Equal(read[0].Value * read[0].Value / 144, read[2].Value, 2.0);
            }
        );

    [Fact]
    public void Relay_lets_the_unit_give_output_only_while_it_is_closed() =>
        On(
            "relays-and-setter-modbus-rtu.yaml",
            async (connected, rig, pump) =>
            {
                var relay = connected.OutputEnable!;
                var meter = rig.Connect("multimeter-100-v.yaml", "dmm-1").Meter;
                await meter.ConfigureAsync(None);
                var removal = Some.Removal(rig.Connect("element-bank-text.yaml", "bank-1").Load!);
                rig.Bench.Source.StartEngine();
                await Task.Delay(TimeSpan.FromSeconds(20), pump, None);
                rig.Bench.Source.SetOutput(true);
                async Task<double> Volts()
                {
                    await Task.Delay(TimeSpan.FromSeconds(2), pump, None);
                    return (await meter.ReadAsync(["volts"], None))[0].Value;
                }

                Assert.InRange(await Volts(), -1, 5);
                Assert.Equal(CommandResult.Ok, await relay.SwitchAsync(true, removal.Permit(), None));
                Assert.True((await relay.ReadAsync(None)).IsClosed);
                Assert.InRange(await Volts(), 60, 80);
                relay.Open();
                Assert.InRange(await Volts(), -1, 5);
                Assert.False((await relay.ReadAsync(None)).IsClosed);

                removal.RemoveLoad(Some.Cause);
                var refused = await relay.SwitchAsync(true, removal.Permit(), None);
                Assert.Equal(CommandOutcome.Failed, refused.Outcome);
                Assert.Equal(CommandResult.Ok, await relay.SwitchAsync(false, removal.Permit(), None));
            }
        );

    [Fact]
    public void Setter_is_read_back_and_keeps_to_its_bounds() =>
        On(
            "relays-and-setter-modbus-rtu.yaml",
            async (connected, rig, pump) =>
            {
                var setter = connected.Setter!;
                var permit = Some.Removal(rig.Connect("element-bank-text.yaml", "bank-1").Load!).Permit();
                Assert.Equal(CommandResult.Ok, await setter.SetAsync(6.25, permit, None));
                var beyond = await setter.SetAsync(10.5, permit, None);
                Assert.Equal(CommandOutcome.Failed, beyond.Outcome);
                Assert.Contains(
                    "10.5 V was to be set; 0 V to 10 V is allowed",
                    beyond.Detail,
                    StringComparison.Ordinal
                );
                var seen = await connected.Inspect!.InspectAsync(None);
                Assert.Equal(InspectedState.Wrong, seen.Single(i => i.What == "remote control").State);
                Assert.Equal(CommandResult.Ok, await setter.SetAsync(0, permit, None));
            }
        );

    [Fact]
    public void Error_flag_that_is_up_is_refused_in_the_definitions_words() =>
        On(
            "element-bank-text.yaml",
            async (connected, rig, pump) =>
            {
                rig.Bench.Inject(new Fault("over-temperature"));
                var load = connected.Load!;
                await Task.Delay(TimeSpan.FromSeconds(1), pump, None);
                await load.SwitchAsync(new ElementSet(1), Some.Removal(load).Permit(), None);
                rig.Bench.ClearFaults();
                var seen = (await connected.Inspect!.InspectAsync(None)).Single(i =>
                    i.What == "dropped by its protection"
                );
                var configured = await connected.Meter.ConfigureAsync(None);
                Assert.Equal(
                    seen.State == InspectedState.Wrong ? CommandOutcome.Failed : CommandOutcome.Ok,
                    configured.Outcome
                );
                if (seen.State == InspectedState.Wrong)
                    Assert.Contains("it opened its elements by itself", configured.Detail, StringComparison.Ordinal);
            }
        );

    [Fact]
    public void Hand_meter_takes_what_its_display_can_show_and_asks_again_otherwise() =>
        OnPump(async pump =>
        {
            var asked = new List<string>();
            var answers = new Queue<string?>([
                "H-3301",
                "yes",
                "yes",
                "724 V",
                "72.43 V",
                "72.4 V",
                "OL",
                "12.5",
                "12.5 V",
                "12.5 Ω",
                null,
            ]);
            var meter = new HandMeter(
                EveryKindRig.Instrument("hand-meter.yaml", "hand-1", "H-3301"),
                (words, _) =>
                {
                    asked.Add(words);
                    return Task.FromResult(answers.Dequeue());
                },
                pump
            );
            Assert.Equal(CommandResult.Ok, (await meter.IdentifyAsync(None)).Result);
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(None));
            var read = await meter.ReadAsync(["volts", "volts", "ohms", "ohms"], None);
            Assert.Equal(
                [IndicationFlag.Good, IndicationFlag.Overload, IndicationFlag.Good, IndicationFlag.Missing],
                read.Select(r => r.Flag)
            );
            Assert.Equal(72.4, read[0].Value, 12);
            Assert.Equal(12.5, read[2].Value, 12);
            Assert.Contains("724 V is beyond the range, 600 V", asked[4], StringComparison.Ordinal);
            Assert.Contains("its steps are 0.1 V", asked[5], StringComparison.Ordinal);
        });

    private static WorldFile World(string name) =>
        name switch
        {
            "rtu" => WorldFile.Demo().WithBankProtocol("modbus-rtu"),
            "tcp" => WorldFile.Demo().WithBankProtocol("modbus-tcp"),
            "workshop" => WorldFile.Workshop(),
            _ => WorldFile.EveryKind(),
        };

    private static void On(string file, Func<ConnectedInstrument, EveryKindRig, Pump, Task> body) =>
        OnPump(async pump =>
        {
            var (_, world, device, serial) = Answered.Single(a => a.File == file);
            using var rig = new EveryKindRig(World(world), pump);
            await body(rig.Connect(file, device, serial.Length == 0 ? null : serial), rig, pump);
        });

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }
}
