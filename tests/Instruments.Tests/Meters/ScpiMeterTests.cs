using System.Globalization;
using CsCheck;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.Instruments.Scpi;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.InstrumentsTests.Meters;

public sealed class ScpiMeterTests
{
    [Theory]
    [InlineData("\n")]
    [InlineData("\r\n")]
    public void Reading_ends_with_either_terminator_and_carries_the_time_of_its_last_byte(string terminator) =>
        OnPump(async pump =>
        {
            var meter = Reading(pump, out var device);
            device.Terminator = terminator;
            var reading = (await meter.ReadAsync(["volts"], CancellationToken.None))[0];
            Assert.Equal(new Indication(32.5, IndicationFlag.Good, device.Delay.Ticks), reading);
        });

    [Theory]
    [InlineData("+9.9E37", IndicationFlag.Overload)]
    [InlineData("-9.9E37", IndicationFlag.Overload)]
    [InlineData("9.91E37", IndicationFlag.NotANumber)]
    [InlineData("nan", IndicationFlag.NotANumber)]
    [InlineData("1e999", IndicationFlag.NotANumber)]
    [InlineData("", IndicationFlag.NotANumber)]
    [InlineData("1,234", IndicationFlag.NotANumber)]
    public void Special_replies_are_flags_and_never_values(string reply, IndicationFlag flag) =>
        OnPump(async pump =>
        {
            var meter = Reading(pump, out var device);
            device.Replies["READ?"] = _ => reply;
            var reading = (await meter.ReadAsync(["volts"], CancellationToken.None))[0];
            Assert.Equal(flag, reading.Flag);
            Assert.Equal(0, reading.Value);
        });

    [Fact]
    public void Silent_meter_is_missing_at_the_deadline() =>
        OnPump(async pump =>
        {
            var meter = Reading(pump, out var device);
            device.Replies["READ?"] = _ => null;
            var reading = (await meter.ReadAsync(["volts"], CancellationToken.None))[0];
            Assert.Equal(new Indication(0, IndicationFlag.Missing, Some.Deadline.Ticks), reading);
        });

    [Fact]
    public void Reply_without_end_is_missing_and_bounded() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device, out var line, isSet: false);
            device.Replies["READ?"] = _ => null;
            var reading = meter.ReadAsync(["volts"], CancellationToken.None);
            line.Deliver(new byte[5000]);
            Assert.Equal(IndicationFlag.Missing, (await reading)[0].Flag);
            Assert.Equal(0, pump.GetTimestamp());
        });

    [Fact]
    public void Gate_configures_reads_back_and_proves_the_error_queue_empty() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
            Assert.Equal(
                "*CLS|CONF:VOLT:DC 100|VOLT:DC:RANG?|VOLT:DC:NPLC?|SYSTem:ERRor?|*ESR?",
                string.Join('|', device.Heard)
            );
        });

    [Fact]
    public void Setting_that_reads_back_otherwise_is_said_with_both_values() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            device.Replies["VOLT:DC:RANG?"] = _ => "+1.00000000E+01";
            var result = await meter.ConfigureAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.StartsWith(
                "Input volts: dmm: VOLT:DC:RANG? reads back \"+1.00000000E+01\"; \"100\" was set.",
                result.Detail,
                StringComparison.Ordinal
            );
        });

    [Fact]
    public void Errors_waiting_in_the_queue_are_all_named() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            string[] queue = ["-113,\"Undefined header\"", "-222", "0,\"No error\""];
            device.Replies["SYSTem:ERRor?"] = k => queue[k];
            var result = await meter.ConfigureAsync(CancellationToken.None);
            Assert.Equal("dmm: its error queue held -113 (Undefined header); -222 (Data out of range).", result.Detail);
        });

    [Theory]
    [InlineData("32", "command error")]
    [InlineData("+20", "query error, execution error")]
    [InlineData("#H80", "power on")]
    public void Error_event_while_it_is_set_is_named(string register, string words) =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            device.Replies["*ESR?"] = _ => register;
            var result = await meter.ConfigureAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Contains($"its event register said {words}.", result.Detail, StringComparison.Ordinal);
        });

    [Fact]
    public void Nothing_is_read_before_the_settings_were_read_back() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            Assert.Equal(IndicationFlag.Missing, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag);
            Assert.Empty(device.Heard);
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
            Assert.Equal(32.5, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Value);
        });

    [Fact]
    public void Meter_that_went_silent_and_came_back_in_another_range_is_not_read() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
            device.Replies["READ?"] = k => k == 0 ? null : "+3.25000000E+01";
            device.Replies["VOLT:DC:RANG?"] = _ => "+1.00000000E+03";
            for (var k = 0; k < 5; k++)
                Assert.Equal(
                    IndicationFlag.Missing,
                    (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag
                );
            Assert.Single(device.Heard, h => h == "READ?");

            device.Replies["VOLT:DC:RANG?"] = _ => "+1.00000000E+02";
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
            Assert.Equal(32.5, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Value);
        });

    [Fact]
    public void Meter_that_went_silent_and_kept_its_settings_is_read_again() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            Assert.Equal(CommandResult.Ok, await meter.ConfigureAsync(CancellationToken.None));
            device.Replies["READ?"] = k => k == 0 ? null : "+3.25000000E+01";
            Assert.Equal(IndicationFlag.Missing, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Flag);
            device.Heard.Clear();
            device.Replies["READ?"] = _ => "+3.25000000E+01";
            Assert.Equal(32.5, (await meter.ReadAsync(["volts"], CancellationToken.None))[0].Value);
            Assert.Equal("*IDN?|VOLT:DC:RANG?|VOLT:DC:NPLC?|READ?", string.Join('|', device.Heard));
        });

    [Fact]
    public void Error_queue_that_never_empties_is_given_up() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            device.Replies["SYSTem:ERRor?"] = _ => "-350,\"Queue overflow\"";
            var result = await meter.ConfigureAsync(CancellationToken.None);
            Assert.Equal(CommandOutcome.Failed, result.Outcome);
            Assert.Equal(ErrorQueue.MostEntries, device.Heard.Count(h => h == "SYSTem:ERRor?"));
        });

    [Theory]
    [InlineData("SOME MAKER,SOME MODEL,S-1,1.0", CommandOutcome.Ok)]
    [InlineData("Some Maker, Some Model, S-1, 2.7", CommandOutcome.Ok)]
    [InlineData("SOME MAKER,SOME MODEL,S-2,1.0", CommandOutcome.Failed)]
    [InlineData("SOME MAKER,OTHER MODEL,S-1,1.0", CommandOutcome.Failed)]
    [InlineData("SOME MAKER,SOME MODEL,S-1", CommandOutcome.Failed)]
    [InlineData("+3.2E+01", CommandOutcome.Failed)]
    public void Identity_is_maker_model_and_serial_number(string reply, CommandOutcome outcome) =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            device.Replies["*IDN?"] = _ => reply;
            var identity = await meter.IdentifyAsync(CancellationToken.None);
            Assert.Equal(outcome, identity.Result.Outcome);
            Assert.Equal(reply, identity.Said);
        });

    [Fact]
    public void Bytes_that_are_no_text_are_shown_in_hex() =>
        OnPump(async pump =>
        {
            var meter = Meter(pump, out var device);
            device.Replies["*IDN?"] = _ => "\u0001\u0080AB";
            var identity = await meter.IdentifyAsync(CancellationToken.None);
            Assert.Contains("bytes 01804142", identity.Result.Detail, StringComparison.Ordinal);
        });

    [Fact]
    public void Late_reading_is_never_taken_for_the_next() =>
        Gen.Frequency((3, Gen.Const(5)), (1, Gen.Int[0, 1500]))
            .Array[1, 30]
            .Sample(
                delays =>
                    OnPump(async pump =>
                    {
                        var meter = Reading(pump, out var device);
                        foreach (var delay in delays)
                            device.Delays.Enqueue(TimeSpan.FromMilliseconds(delay));
                        device.Replies["READ?"] = k => k.ToString(CultureInfo.InvariantCulture);
                        for (var k = 0; k < 40; k++)
                        {
                            var asked = device.Heard.Count(h => h == "READ?");
                            var reading = (await meter.ReadAsync(["volts"], CancellationToken.None))[0];
                            if (reading.Flag == IndicationFlag.Good)
                                Assert.Equal(asked, reading.Value);
                        }
                    }),
                iter: 1000
            );

    [Theory]
    [InlineData(-100, "Command error")]
    [InlineData(-113, "Undefined header")]
    [InlineData(-222, "Data out of range")]
    [InlineData(-350, "Queue overflow")]
    [InlineData(-410, "Query INTERRUPTED")]
    [InlineData(-199, "command error")]
    [InlineData(42, "device-specific error of its maker")]
    public void Error_numbers_have_their_standard_texts(int number, string text)
    {
        // SCPI-99 volume 2, 21.8.
        Assert.Equal(text, StandardErrors.Text(number));
    }

    private static IMeter Meter(Pump pump, out LineDevice device) => Meter(pump, out device, out _);

    private static IMeter Reading(Pump pump, out LineDevice device) => Meter(pump, out device, out _, isSet: false);

    private static IMeter Meter(Pump pump, out LineDevice device, out MemoryLine line, bool isSet = true)
    {
        device = new LineDevice(pump)
        {
            Replies =
            {
                ["*IDN?"] = _ => "SOME MAKER,SOME MODEL,S-1,1.0",
                ["SYSTem:ERRor?"] = _ => "0,\"No error\"",
                ["VOLT:DC:RANG?"] = _ => "+1.00000000E+02",
                ["VOLT:DC:NPLC?"] = _ => "1",
                ["READ?"] = _ => "+3.25000000E+01",
                ["*ESR?"] = _ => "0",
            },
        };
        line = new MemoryLine("dmm", isHalfDuplex: false, pump) { ToDevice = device.Receive };
        device.Answer = line.Deliver;
        var commands = new InputCommands(
            isSet ? ["CONF:VOLT:DC 100"] : [],
            isSet ? [new ReadBackText("VOLT:DC:RANG?", "100"), new ReadBackText("VOLT:DC:NPLC?", "1.0")] : [],
            "READ?"
        );
        var definition = new InstrumentDefinition(
            "some meter",
            Protocol.Scpi,
            Some.Deadline,
            TimeSpan.Zero,
            0,
            new IdentityCheck.IdentificationQuery("SOME MAKER", "SOME MODEL"),
            [Some.Input("volts", commands)],
            null,
            Some.Place
        );
        return InstrumentFactory.Create(Some.Instrument("dmm", definition, "S-1"), null, line, pump).Meter;
    }

    private static void OnPump(Func<Pump, Task> body)
    {
        var pump = Pump.Virtual(Some.Start);
        pump.Run(() => body(pump));
    }
}
