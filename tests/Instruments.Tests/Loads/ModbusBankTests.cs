using CsCheck;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Loads;

public sealed class ModbusBankTests
{
    private static readonly ElementSet Some13 = ElementSet.None.With(0).With(2);

    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void Set_of_elements_is_one_write_and_reads_back(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, protocol);
            var result = await rig.Load.SwitchAsync(Some13, rig.Removal.Permit(), CancellationToken.None);
            Assert.Equal(CommandResult.Ok, result);
            Assert.Equal("0F000000080105", Convert.ToHexString(rig.Device.Requests.Single().Pdu));
            var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Ok, states.Outcome);
            Assert.Equal(Some13, states.Commanded);
            Assert.Equal(Some13, states.Contacts);
            Assert.False(states.HasAirFlow);
            Assert.False(states.IsOverTemperature);
            Assert.False(states.IsStopHealthy);
            Assert.Equal(pump.GetTimestamp(), states.Timestamp);
            // Coils in one request, contacts and the three protection inputs beside them in another.
            Assert.Equal(3, rig.Device.Requests.Count);
        });

    [Fact]
    public void All_off_is_the_frame_of_the_register_map_and_leaves_the_fan_alone() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusRtu);
            await rig.Load.SetFanAsync(true, CancellationToken.None);
            await rig.Load.SwitchAsync(new ElementSet(0xFF), rig.Removal.Permit(), CancellationToken.None);
            rig.Removal.RemoveLoad(Some.Cause);
            var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
            Assert.Equal("0F000000080100", Convert.ToHexString(rig.Device.Requests[2].Pdu));
            Assert.Equal(ElementSet.None, states.Contacts);
            Assert.True(states.HasAirFlow);
        });

    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void On_waiting_for_the_line_when_the_load_is_removed_never_leaves(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, protocol);
            var reading = rig.Meter.ReadAsync(["low"], CancellationToken.None);
            var switching = rig.Load.SwitchAsync(Some13, rig.Removal.Permit(), CancellationToken.None);
            rig.Removal.RemoveLoad(Some.Cause);
            var result = await switching;
            await reading;
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Contains("was not sent: the load was removed", result.Detail, StringComparison.Ordinal);
            Assert.DoesNotContain(rig.Device.Requests, IsOn);
        });

    [Fact]
    public void Permit_of_an_earlier_epoch_or_another_run_switches_nothing_on() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusTcp);
            var old = rig.Removal.Permit();
            rig.Removal.NextEpoch();
            var other = new EnergisePermit(rig.Removal, "run-2", 2);
            foreach (var permit in new[] { old, other, default })
                Assert.Equal(
                    CommandOutcome.Failed,
                    (await rig.Load.SwitchAsync(Some13, permit, CancellationToken.None)).Outcome
                );
            Assert.Empty(rig.Device.Requests);
        });

    [Fact]
    public void Empty_set_needs_no_permit() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusTcp);
            Assert.Equal(
                CommandResult.Ok,
                await rig.Load.SwitchAsync(ElementSet.None, default, CancellationToken.None)
            );
        });

    [Fact]
    public void No_on_leaves_after_the_latch_whatever_the_moment_and_the_wire() =>
        Gen.Select(Gen.Bool, Gen.Int[0, 40], Gen.Int[0, 4], Gen.Int[0, 255].Array[1, 12])
            .Sample(
                (isTcp, removeAfter, mishapAt, masks) =>
                    OnPump(async pump =>
                    {
                        var rig = new BankRig(pump, isTcp ? Protocol.ModbusTcp : Protocol.ModbusRtu);
                        for (var k = 0; k < mishapAt; k++)
                            rig.Device.Mishaps.Enqueue(Mishap.None);
                        rig.Device.Mishaps.Enqueue(Mishap.Late(1.5 * Some.Deadline));
                        long removed = -1;
                        using var stop = pump.CreateTimer(
                            _ =>
                            {
                                rig.Removal.RemoveLoad(Some.Cause);
                                removed = pump.GetTimestamp();
                            },
                            null,
                            TimeSpan.FromMilliseconds(removeAfter),
                            Timeout.InfiniteTimeSpan
                        );
                        var commands = masks.Select(m =>
                            rig.Load.SwitchAsync(new ElementSet((uint)m), rig.Removal.Permit(), CancellationToken.None)
                        );
                        await Task.WhenAll(commands);
                        await Task.Delay(10 * Some.Deadline, pump, CancellationToken.None);
                        Assert.True(removed >= 0);
                        var after = rig.Device.Requests.SkipWhile(r => r.At <= removed).ToList();
                        Assert.DoesNotContain(after, IsOn);
                        var allOff = rig.Device.Requests.FindIndex(r => IsAllOff(r) && r.At >= removed);
                        Assert.True(allOff >= 0);
                        Assert.DoesNotContain(rig.Device.Requests.Skip(allOff), IsOn);
                        Assert.All(rig.Device.Coils.Take(8), Assert.False);
                    }),
                iter: 500
            );

    [Fact]
    public void On_acknowledged_but_not_done_is_seen_in_the_states() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusRtu);
            rig.Device.IgnoresWrites = true;
            Assert.Equal(
                CommandResult.Ok,
                await rig.Load.SwitchAsync(Some13, rig.Removal.Permit(), CancellationToken.None)
            );
            Assert.Equal(ElementSet.None, (await rig.Load.ReadStatesAsync(CancellationToken.None)).Contacts);
        });

    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void On_whose_reply_is_lost_is_unknown_and_the_states_tell(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, protocol);
            rig.Device.Mishaps.Enqueue(Mishap.Dropped);
            var result = await rig.Load.SwitchAsync(Some13, rig.Removal.Permit(), CancellationToken.None);
            Assert.Equal(CommandOutcome.Unknown, result.Outcome);
            var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
            if (states.Outcome != CommandOutcome.Ok)
                states = await rig.Load.ReadStatesAsync(CancellationToken.None);
            Assert.Equal(Some13, states.Contacts);
            Assert.Single(rig.Device.Requests, IsOn);
        });

    [Fact]
    public void Refused_on_is_failed_and_names_the_exception() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusRtu);
            rig.Device.Exceptions.Enqueue(4);
            var result = await rig.Load.SwitchAsync(Some13, rig.Removal.Permit(), CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Equal(
                "bank, unit 17: writing coils 0 to 7 was answered with exception 0x04 (server device failure): the instrument failed while it did so; look at its own display.",
                result.Detail
            );
        });

    [Fact]
    public void Communication_watchdog_is_armed_and_read_back() =>
        OnPump(async pump =>
        {
            var watchdog = new RegisterText(RegisterTable.HoldingRegister, 3, RegisterForm.Unsigned16, false, 1);
            var rig = new BankRig(pump, Protocol.ModbusRtu, watchdog);
            Assert.Equal(CommandResult.Ok, await rig.Meter.ConfigureAsync(CancellationToken.None));
            Assert.Equal(10, rig.Device.Holding[3]);
            rig.Device.IgnoresWrites = true;
            rig.Device.Holding[3] = 0;
            var result = await rig.Meter.ConfigureAsync(CancellationToken.None);
            Assert.Contains("was set to 10 s and reads back 0 s", result.Detail, StringComparison.Ordinal);
        });

    [Fact]
    public void Identity_is_the_known_value_and_the_serial_number() =>
        OnPump(async pump =>
        {
            var right = new BankRig(pump, Protocol.ModbusRtu, serialNumber: "501");
            var identity = await right.Meter.IdentifyAsync(CancellationToken.None);
            Assert.Equal(CommandResult.Ok, identity.Result);
            Assert.Equal("known value 500, serial number 501", identity.Said);

            var wrong = new BankRig(pump, Protocol.ModbusRtu, serialNumber: "40217");
            var refused = await wrong.Meter.IdentifyAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, refused.Result.Outcome);
            Assert.Contains(
                "serial number 40217 was expected, 501 answered",
                refused.Result.Detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Neighbouring_inputs_are_one_request_and_one_far_away_another() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusTcp);
            var readings = await rig.Meter.ReadAsync(["far", "next", "low"], CancellationToken.None);
            Assert.Equal([300d, 11, 10], readings.Select(r => r.Value));
            Assert.All(readings, r => Assert.Equal(IndicationFlag.Good, r.Flag));
            Assert.Equal(
                "04000A0002 04012C0001",
                string.Join(" ", rig.Device.Requests.Select(r => Convert.ToHexString(r.Pdu)))
            );
        });

    [Fact]
    public void Element_beyond_the_bank_is_a_mistake_and_throws() =>
        OnPump(async pump =>
        {
            var rig = new BankRig(pump, Protocol.ModbusTcp);
            await Assert.ThrowsAsync<ArgumentOutOfRangeException>(() =>
                rig.Load.SwitchAsync(new ElementSet(0x100), rig.Removal.Permit(), CancellationToken.None)
            );
        });

    private static bool IsOn((long At, byte[] Pdu) request) => request.Pdu[0] == 15 && request.Pdu[6] != 0;

    private static bool IsAllOff((long At, byte[] Pdu) request) => request.Pdu[0] == 15 && request.Pdu[6] == 0;

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }

    private sealed class BankRig
    {
        public BankRig(Pump pump, Protocol protocol, RegisterText? watchdog = null, string? serialNumber = null)
        {
            var isTcp = protocol == Protocol.ModbusTcp;
            Device = new OwnAddressDevice(pump, isTcp, Some.Unit);
            var line = new MemoryLine("bank", !isTcp, pump) { ToDevice = Device.Receive };
            Device.Answer = line.Deliver;
            var definition = Some.Modbus(
                protocol,
                Some.Switching(watchdog),
                Some.Input("low", Some.Register(10)),
                Some.Input("next", Some.Register(11)),
                Some.Input("far", Some.Register(300))
            );
            var connected = InstrumentFactory.Create(
                Some.Instrument("bank", definition, serialNumber),
                Some.Bank(),
                line,
                pump
            );
            Load = connected.Load!;
            Meter = connected.Meter;
            Removal = Some.Removal(Load);
        }

        public OwnAddressDevice Device { get; }

        public ILoad Load { get; }

        public IMeter Meter { get; }

        public LoadRemoval Removal { get; }
    }
}
