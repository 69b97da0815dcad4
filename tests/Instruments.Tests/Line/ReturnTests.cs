using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Line;

/// <summary>A line that was lost and came back; whoever is at its other end may be another.</summary>
public sealed class ReturnTests
{
    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void Instrument_that_came_back_says_who_it_is_before_anything_else_is_asked(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new Rig(pump, protocol, "501");
            rig.Line.Lose("pulled");
            Assert.Equal(IndicationFlag.Missing, await ReadAsync(rig));
            rig.Line.Return();
            Assert.Equal(IndicationFlag.Good, await ReadAsync(rig));
            Assert.Equal(
                ["0401F40001", "0401F50001", "0400070001"],
                rig.Device.Requests.Select(r => Convert.ToHexString(r.Pdu)),
                StringComparer.Ordinal
            );
            Assert.Equal(IndicationFlag.Good, await ReadAsync(rig));
            Assert.Equal(4, rig.Device.Requests.Count);
            Assert.Equal(1, rig.Link.Returns);
        });

    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void Another_instrument_on_the_line_that_came_back_is_neither_read_nor_switched_on(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new Rig(pump, protocol, "777");
            Assert.Equal(IndicationFlag.Good, await ReadAsync(rig));
            rig.Line.Lose("pulled");
            rig.Line.Return();
            Assert.Equal(IndicationFlag.Missing, await ReadAsync(rig));
            var switched = await rig.Load.SwitchAsync(
                ElementSet.None.With(0),
                rig.Removal.Permit(),
                CancellationToken.None
            );
            Assert.Equal(CommandOutcome.Failed, switched.Outcome);
            Assert.Contains("777 was expected, 501 answered", switched.Detail, StringComparison.Ordinal);
            Assert.DoesNotContain(rig.Device.Requests, r => r.Pdu[0] is 5 or 15);
            rig.Load.RemoveLoad();
            await Task.Delay(Some.Deadline, pump, CancellationToken.None);
            Assert.Equal("0F000000080100", Convert.ToHexString(rig.Device.Requests[^1].Pdu));
        });

    [Fact]
    public void What_was_asked_of_a_lost_line_is_not_sent_when_it_is_back() =>
        OnPump(async pump =>
        {
            var rig = new Rig(pump, Protocol.ModbusRtu, "501");
            var reading = ReadAsync(rig);
            var switching = rig.Load.SwitchAsync(ElementSet.None.With(0), rig.Removal.Permit(), CancellationToken.None);
            rig.Line.Lose("pulled");
            Assert.Equal(IndicationFlag.Missing, await reading);
            Assert.NotEqual(CommandOutcome.Ok, (await switching).Outcome);
            var sent = rig.Device.Requests.Count;
            rig.Line.Return();
            await Task.Delay(TimeSpan.FromSeconds(10), pump, CancellationToken.None);
            Assert.Equal(sent, rig.Device.Requests.Count);
            Assert.DoesNotContain(rig.Device.Requests, r => r.Pdu[0] == 15);
        });

    [Theory]
    [InlineData(Protocol.ModbusRtu)]
    [InlineData(Protocol.ModbusTcp)]
    public void Bank_whose_line_was_lost_with_elements_on_says_nothing_that_counts_before_all_off(Protocol protocol) =>
        OnPump(async pump =>
        {
            var rig = new Rig(pump, protocol, "501");
            var element = ElementSet.None.With(0);
            var permit = rig.Removal.Permit();
            Assert.Equal(CommandResult.Ok, await rig.Load.SwitchAsync(element, permit, CancellationToken.None));
            Assert.Equal(CommandOutcome.Ok, (await rig.Load.ReadStatesAsync(CancellationToken.None)).Outcome);
            rig.Line.Lose("pulled");
            rig.Line.Return();
            var states = await rig.Load.ReadStatesAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Unknown, states.Outcome);
            Assert.Contains("its line was lost while elements were on", states.Detail, StringComparison.Ordinal);
            var again = await rig.Load.SwitchAsync(element, permit, CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, again.Outcome);

            rig.Load.RemoveLoad();
            Assert.Equal(CommandOutcome.Ok, (await rig.Load.ReadStatesAsync(CancellationToken.None)).Outcome);
        });

    private static async Task<IndicationFlag> ReadAsync(Rig rig) =>
        (await rig.Meter.ReadAsync(["seven"], CancellationToken.None))[0].Flag;

    private static void OnPump(Func<Pump, Task> test)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => test(pump));
    }

    private sealed class Rig
    {
        public Rig(Pump pump, Protocol protocol, string serialNumber)
        {
            Device = new OwnAddressDevice(pump, protocol == Protocol.ModbusTcp, Some.Unit);
            Line = new MemoryLine("bank-1", protocol == Protocol.ModbusRtu, pump) { ToDevice = Device.Receive };
            Device.Answer = Line.Deliver;
            var definition = Some.Modbus(protocol, Some.Switching(), Some.Input("seven", Some.Register(7)));
            var connected = InstrumentFactory.Create(
                Some.Instrument("bank-1", definition, serialNumber),
                Some.Bank(),
                Line,
                pump
            );
            (Load, Meter, Link) = (connected.Load!, connected.Meter, connected.Link);
            Removal = Some.Removal(Load);
        }

        public OwnAddressDevice Device { get; }

        public MemoryLine Line { get; }

        public ILoad Load { get; }

        public IMeter Meter { get; }

        public LinkCounters Link { get; }

        public LoadRemoval Removal { get; }
    }
}
