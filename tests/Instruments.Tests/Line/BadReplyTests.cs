using System.Globalization;
using System.Text;
using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Loads;
using LoadTest.Instruments.Modbus;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests.Line;

/// <summary>A message about a bad reply says what came, and points at its cause.</summary>
public sealed class BadReplyTests
{
    private static readonly CancellationToken None = CancellationToken.None;

    [Theory]
    [InlineData(false, false)]
    [InlineData(false, true)]
    [InlineData(true, false)]
    public void Echo_on_a_modbus_line_is_called_an_echo_whole_or_byte_by_byte(bool isAscii, bool isDripping) =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false, isAscii: isAscii);
            wire.Line.ToDevice = bytes =>
            {
                foreach (var piece in bytes.ToArray().Chunk(isDripping ? 1 : 300))
                    wire.Line.Deliver(piece);
                wire.Device.Receive(bytes);
            };
            var read = await wire.Client.ReadAsync(ModbusRequest.Read(3, 7, 1), new byte[2], None);
            Assert.Equal(CommandOutcome.Unknown, read.Outcome);
            Assert.Equal(
                "some line: to reading holding register 7 its own bytes came back, an echo. Switch the echo off at the two-wire adapter: no setting for Modbus takes one.",
                read.Detail
            );
        });

    [Fact]
    public void Echo_of_a_switching_command_is_no_damaged_reply() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Line.ToDevice = bytes => wire.Line.Deliver(bytes.ToArray());
            var written = await wire.Client.WriteAsync(ModbusRequest.Write(Pdu.WriteCoils(0, 8, 5)), null, None);
            Assert.Equal(CommandOutcome.Unknown, written.Outcome);
            Assert.Contains(
                "writing coils 0 to 7 its own bytes came back, an echo",
                written.Detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Echo_on_a_text_line_names_the_setting_that_says_an_echo_is_there() =>
        OnPump(async pump =>
        {
            // The panel meter repeats every request; a definition that says otherwise is put right by what the message says.
            using var rig = new EveryKindRig(WorldFile.EveryKind(), pump);
            var definition = EveryKindRig.Definition("panel-meter-text.yaml");
            Assert.True(definition.Framing!.HasEcho);
            var detail = await IdentifyAsync(
                rig,
                pump,
                "panel-1",
                definition with
                {
                    Framing = definition.Framing with { HasEcho = false },
                }
            );
            Assert.Contains(
                "its own bytes came back, an echo. If it always does so, write `echo: yes` under `framing`",
                detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Missing_echo_on_a_text_line_names_the_setting_that_expects_one() =>
        OnPump(async pump =>
        {
            using var rig = new EveryKindRig(WorldFile.EveryKind(), pump);
            var definition = EveryKindRig.Definition("temperature-logger-text.yaml");
            var detail = await IdentifyAsync(
                rig,
                pump,
                "logger-1",
                definition with
                {
                    Framing = definition.Framing! with { HasEcho = true },
                }
            );
            Assert.Contains(
                "without the request in front of it, where its definition says `echo: yes`",
                detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Scpi_question_that_comes_back_is_called_an_echo_and_no_answer() =>
        OnPump(async pump =>
        {
            var line = new MemoryLine("meter", false, pump);
            line.ToDevice = bytes => line.Deliver(bytes.ToArray());
            var definition = EveryKindRig.Definition("multimeter-100-v.yaml");
            var meter = InstrumentFactory.Create(Some.Instrument("meter", definition), null, line, pump).Meter;
            var identity = await meter.IdentifyAsync(None);
            Assert.Equal(
                "meter: to *IDN? its own bytes came back, an echo. Switch the echo off at the instrument or its adapter: no setting for SCPI takes one.",
                identity.Result.Detail
            );
        });

    // MODBUS over serial line V1.02, 6.2.2: the CRC of 11 03 02 00 07 computed here bit by bit by the tests' own device.
    [Fact]
    public void Wrong_crc_is_named_with_what_stood_there_and_what_the_bytes_give() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            byte[] sound = [Some.Unit, 3, 2, 0, 7];
            var crc = OwnAddressDevice.Crc(sound);
            wire.Line.ToDevice = _ => wire.Line.Deliver(new byte[] { Some.Unit, 3, 2, 0, 7, 0x34, 0x12 });
            var read = await wire.Client.ReadAsync(ModbusRequest.Read(3, 7, 1), new byte[2], None);
            Assert.StartsWith(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"some line: to reading holding register 7 came bytes 11030200073412, and its CRC is 0x1234 where its bytes give 0x{crc:X4}. Check for noise"
                ),
                read.Detail,
                StringComparison.Ordinal
            );
            foreach (var cause in new[] { "noise", "speed", "parity", "protocol" })
                Assert.Contains(cause, read.Detail, StringComparison.Ordinal);
        });

    // MODBUS over serial line V1.02, 2.5.2.2: 01 01 00 13 00 13 has D8; here the reply 11 03 02 00 07 has E3 (100 hex − 1D hex).
    [Fact]
    public void Wrong_lrc_is_named_with_what_stood_there_and_what_the_bytes_give() =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false, isAscii: true);
            wire.Line.ToDevice = _ => wire.Line.Deliver(Encoding.ASCII.GetBytes(":110302000744\r\n"));
            var read = await wire.Client.ReadAsync(ModbusRequest.Read(3, 7, 1), new byte[2], None);
            Assert.Contains("and its LRC is 0x44 where its bytes give 0xE3.", read.Detail, StringComparison.Ordinal);
        });

    [Fact]
    public void Wrong_check_of_a_line_is_named_with_what_stood_there_and_what_the_characters_give() =>
        OnPump(async pump =>
        {
            var definition = EveryKindRig.Definition("element-bank-text.yaml");
            var line = new MemoryLine("bank", true, pump);
            // 4F + 4B is 9A hex.
            line.ToDevice = _ => line.Deliver("OK*00\r\n"u8.ToArray());
            var meter = InstrumentFactory
                .Create(Some.Instrument("bank", definition with { Switching = null, Inputs = [] }), null, line, pump)
                .Meter;
            var identity = await meter.IdentifyAsync(None);
            Assert.Contains(
                "came \"OK*00<CR><LF>\", and its check (sum 8) is 00 where its characters give 9A. Check for noise",
                identity.Result.Detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Addresses_are_those_of_the_definition_file() =>
        OnPump(async pump =>
        {
            // Its file counts from 1: the known value stands at address 1 there, at 0 on the wire.
            var definition = EveryKindRig.Definition("ac-bank-modbus-rtu.yaml");
            Assert.Equal(1, definition.AddressBase);
            var line = new MemoryLine("ac-bank-1", true, pump);
            var meter = InstrumentFactory
                .Create(Some.Instrument("ac-bank-1", definition with { Switching = null }), null, line, pump)
                .Meter;
            var silent = await meter.IdentifyAsync(None);
            Assert.Contains(
                "no reply to reading input register 1 within 120 ms",
                silent.Result.Detail,
                StringComparison.Ordinal
            );
            Assert.Equal(
                "unit 2: reading input register 1",
                FrameWords.Meaning(definition, isSent: true, RtuFrame.Instance.Encode(2, Pdu.Read(4, 0, 1)))
            );
        });

    [Fact]
    public void Known_value_that_differs_is_told_with_the_address_of_the_definition_file() =>
        OnPump(async pump =>
        {
            var definition = EveryKindRig.Definition("ac-bank-modbus-rtu.yaml");
            var line = new MemoryLine("ac-bank-1", true, pump);
            line.ToDevice = _ => line.Deliver(RtuFrame.Instance.Encode(2, [4, 2, 0, 99]));
            var meter = InstrumentFactory
                .Create(Some.Instrument("ac-bank-1", definition with { Switching = null }), null, line, pump)
                .Meter;
            var other = await meter.IdentifyAsync(None);
            Assert.True(other.IsWrongMap);
            Assert.StartsWith(
                "ac-bank-1: input register 1 reads 99; its definition says 4321.",
                other.Result.Detail,
                StringComparison.Ordinal
            );
        });

    /// <summary>Each code of MODBUS Application Protocol V1.1b3, clause 7, in answer to switching on.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(8)]
    [InlineData(10)]
    [InlineData(11)]
    public void Exception_in_answer_to_switching_on_fails_the_command_with_code_meaning_and_remedy(byte code) =>
        OnPump(async pump =>
        {
            var wire = new Wire(pump, isTcp: false);
            wire.Device.Exceptions.Enqueue(code);
            var instrument = Some.Instrument("bank", Some.Modbus(Protocol.ModbusRtu, Some.Switching()));
            var bank = new ModbusBank(instrument, wire.Client, pump);
            var result = await bank.SwitchAsync(new ElementSet(1), Some.Removal(bank).Permit(), None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Contains(
                $"writing coils 0 to 7 was answered with {ModbusExceptions.Named(code)}: {ModbusExceptions.Advice(code)}.",
                result.Detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Answer_behind_its_deadline_is_told_with_both_times() =>
        OnPump(async pump =>
        {
            var definition = EveryKindRig.Definition("multimeter-100-v.yaml");
            var device = new LineDevice(pump);
            var line = new MemoryLine("meter", false, pump) { ToDevice = device.Receive };
            device.Answer = line.Deliver;
            device.Replies["READ?"] = _ => "+3.25E+01";
            device.Delays.Enqueue(TimeSpan.FromMilliseconds(400));
            var connected = InstrumentFactory.Create(Some.Instrument("meter", definition), null, line, pump);
            var reading = (await connected.ReadAsFoundAsync(["volts"], None))[0];
            Assert.Equal(IndicationFlag.Missing, reading.Flag);
            await Task.Delay(TimeSpan.FromSeconds(1), pump, None);
            Assert.Equal(
                "The answer to READ? came 150 ms after its deadline of 250 ms. Give its definition a `deadline` longer than the instrument takes, or set a shorter integration time.",
                connected.Link.LastTrouble
            );
        });

    private static async Task<string> IdentifyAsync(
        EveryKindRig rig,
        Pump pump,
        string device,
        InstrumentDefinition definition
    )
    {
        var end = rig.Bench.Devices.Single(d => d.Name == device);
        var line = new MemoryLine(device, definition.IsHalfDuplex, pump) { ToDevice = end.Receive };
        end.Answer = line.Deliver;
        var connected = InstrumentFactory.Create(Some.Instrument(device, definition), null, line, pump);
        return (await connected.Meter.IdentifyAsync(None)).Result.Detail;
    }

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }
}
