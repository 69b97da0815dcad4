using LoadTest.Analysis.Loads;
using LoadTest.Instruments;
using LoadTest.Instruments.Line;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;
using LoadTest.Simulator.Parameters;

namespace LoadTest.InstrumentsTests;

public sealed class ReadOnlyRuleTests
{
    // Request bodies of MODBUS Application Protocol V1.1b3, 6.5, 6.6, 6.11, 6.12, 6.16, 6.17, in the frame of MODBUS messaging on TCP/IP V1.0b, 3.1.3.
    [Theory]
    [InlineData("0001 0000 0006 01 05 00AC FF00")]
    [InlineData("0001 0000 0006 01 06 0001 0003")]
    [InlineData("0001 0000 0009 01 0F 0013 000A 02 CD01")]
    [InlineData("0001 0000 000B 01 10 0001 0002 04 000A 0102")]
    [InlineData("0001 0000 0008 01 16 0004 00F2 0025")]
    [InlineData("0001 0000 0011 01 17 0003 0006 000E 0003 06 00FF 00FF 00FF")]
    public void What_writes_is_not_sent_to_a_modbus_device(string frame) =>
        Assert.NotNull(Objection("power-meter-three-phase-modbus-tcp.yaml", Bytes(frame)));

    // The same page, 6.1 and 6.4.
    [Theory]
    [InlineData("0001 0000 0006 01 01 0013 0013", "transaction 1, unit 1: reading coils 19 to 37")]
    [InlineData("0001 0000 0006 01 04 0008 0001", "transaction 1, unit 1: reading input register 8")]
    public void What_reads_is_sent_and_said_in_words(string frame, string words)
    {
        var definition = EveryKindRig.Definition("power-meter-three-phase-modbus-tcp.yaml");
        Assert.Null(ReadOnlyRule.Objection(definition, Bytes(frame)));
        Assert.Equal(words, FrameWords.Meaning(definition, isSent: true, Bytes(frame)));
    }

    [Theory]
    [InlineData("*IDN?", true)]
    [InlineData("READ?", true)]
    [InlineData("*ESE 3;*ESE?", true)]
    [InlineData("CONF:VOLT:DC 100", false)]
    [InlineData("*RST", false)]
    [InlineData("VOLT:DC:RANG?;RANG 10", false)]
    public void Questions_alone_are_sent_to_a_scpi_meter(string message, bool isSent) =>
        Assert.Equal(isSent, Objection("multimeter-100-v.yaml", Encoded(message + "\n")) is null);

    [Theory]
    [InlineData("STATE?*C0", true)]
    [InlineData("V?*95", true)]
    [InlineData("SET 00*6C", false)]
    [InlineData("SET 01*6D", false)]
    [InlineData("FAN 1*26", false)]
    [InlineData("STATE?*D6", false)]
    public void Lines_the_definition_asks_by_are_sent_and_no_others(string line, bool isSent) =>
        Assert.Equal(isSent, Objection("element-bank-text.yaml", Encoded(line + "\r\n")) is null);

    [Theory]
    [InlineData("element-bank-text.yaml")]
    [InlineData("element-bank-modbus-tcp.yaml")]
    public void Command_through_a_line_that_is_only_looked_at_stays_unsent(string file)
    {
        var pump = Pump.Virtual(Some.Start);
        var world = file.Contains("text", StringComparison.Ordinal)
            ? WorldFile.EveryKind()
            : WorldFile.Demo().WithBankProtocol("modbus-tcp");
        using var rig = new EveryKindRig(world, pump);
        pump.Run(async () =>
        {
            var device = rig.Bench.Devices.Single(d => d.Name == "bank-1");
            var definition = EveryKindRig.Definition(file);
            var line = new MemoryLine("bank-1", definition.IsHalfDuplex, pump) { ToDevice = device.Receive };
            device.Answer = line.Deliver;
            var load = InstrumentFactory
                .Create(
                    EveryKindRig.Instrument(file, "bank-1", null),
                    null,
                    new TappedLine(line, definition, pump),
                    pump
                )
                .Load!;
            var refused = await load.SwitchAsync(
                new ElementSet(1),
                Some.Removal(load).Permit(),
                CancellationToken.None
            );
            Assert.NotEqual(CommandOutcome.Ok, refused.Outcome);
            Assert.Contains("nothing is sent here but questions", refused.Detail, StringComparison.Ordinal);
            Assert.Null(rig.Bench.LastLoadCommand);
            Assert.Equal(CommandOutcome.Ok, (await load.ReadStatesAsync(CancellationToken.None)).Outcome);
        });
    }

    private static string? Objection(string file, byte[] frame) =>
        ReadOnlyRule.Objection(EveryKindRig.Definition(file), frame);

    private static byte[] Bytes(string hex) => Convert.FromHexString(hex.Replace(" ", "", StringComparison.Ordinal));

    private static byte[] Encoded(string text) => System.Text.Encoding.ASCII.GetBytes(text);
}
