using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Modbus;

public sealed class RegisterSettingTests
{
    [Fact]
    public void Setting_is_written_once_and_read_back() =>
        OnPump(async wire =>
        {
            var setting = new RegisterSetting(wire.Client, Holding(5) with { Scale = 0.1 });
            Assert.Equal(CommandResult.Ok, await setting.SetAsync(2.5, "its filter", "s", CancellationToken.None));
            Assert.Equal(25, wire.Device.Holding[5]);
            Assert.Equal(
                "0600050019 0300050001",
                string.Join(" ", wire.Device.Requests.Select(r => Convert.ToHexString(r.Pdu)))
            );
        });

    [Fact]
    public void Field_of_bits_leaves_the_other_bits_alone() =>
        OnPump(async wire =>
        {
            wire.Device.Holding[5] = 0xFFFF;
            var setting = new RegisterSetting(wire.Client, Holding(5) with { Bits = new BitField(4, 3) });
            Assert.Equal(CommandResult.Ok, await setting.SetAsync(2, "its range", "", CancellationToken.None));
            Assert.Equal(0xFFAF, wire.Device.Holding[5]);
            Assert.Equal(22, wire.Device.Requests[0].Pdu[0]);
        });

    [Fact]
    public void Field_of_bits_in_swapped_bytes_leaves_the_other_bits_alone() =>
        OnPump(async wire =>
        {
            wire.Device.Holding[5] = 0xFFFF;
            var register = Holding(5) with { Bits = new BitField(4, 3), IsLowByteFirst = true };
            var setting = new RegisterSetting(wire.Client, register);
            Assert.Equal(CommandResult.Ok, await setting.SetAsync(2, "its range", "", CancellationToken.None));
            Assert.Equal(0xAFFF, wire.Device.Holding[5]);
        });

    [Fact]
    public void Setting_that_does_not_stand_is_said_with_both_values() =>
        OnPump(async wire =>
        {
            wire.Device.IgnoresWrites = true;
            var setting = new RegisterSetting(wire.Client, Holding(5));
            var result = await setting.SetAsync(7, "its filter", "s", CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Contains("its filter was set to 7 s and reads back 0 s", result.Detail, StringComparison.Ordinal);
        });

    [Fact]
    public void What_cannot_be_set_whole_is_refused() =>
        OnPump(wire =>
        {
            Assert.Throws<ArgumentException>(() => new RegisterSetting(wire.Client, Some.Register(5)));
            Assert.Throws<ArgumentException>(() =>
                new RegisterSetting(
                    wire.Client,
                    Holding(5) with
                    {
                        Form = RegisterForm.Unsigned32,
                        Bits = new BitField(0, 4),
                    }
                )
            );
            return Task.CompletedTask;
        });

    [Fact]
    public void Function_23_writes_and_reads_in_one_transaction() =>
        OnPump(async wire =>
        {
            wire.Device.Holding[8] = 0x1234;
            var payload = new byte[4];
            var request = ModbusRequest.Write(Pdu.ReadAndWriteRegisters(7, 2, 7, [0xBEEF]));
            var reply = await wire.Client.WriteAsync(request, null, CancellationToken.None, payload);
            Assert.Equal(CommandOutcome.Ok, reply.Outcome);
            Assert.Equal("BEEF1234", Convert.ToHexString(payload)); // clause 6.17: written before it is read
            Assert.Single(wire.Device.Requests);
        });

    private static RegisterText Holding(int address) =>
        Some.Register(address) with
        {
            Table = RegisterTable.HoldingRegister,
        };

    private static void OnPump(Func<Wire, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(new Wire(pump, isTcp: true)));
    }
}
