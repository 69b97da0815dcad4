using System.Text;
using LoadTest.Instruments;
using LoadTest.InstrumentsTests.Bench;
using LoadTest.Sequencer.Benches;

namespace LoadTest.InstrumentsTests;

/// <summary>What a trace says of frames. The Modbus bodies are the examples of MODBUS application protocol V1.1b3, the clause beside each.</summary>
public sealed class FrameWordsTests
{
    private static readonly InstrumentDefinition Tcp = EveryKindRig.Definition(
        "power-meter-three-phase-modbus-tcp.yaml"
    );

    private static byte[] Framed(string pdu)
    {
        var body = Convert.FromHexString(pdu);
        return [0, 7, 0, 0, 0, (byte)(body.Length + 1), 1, .. body];
    }

    [Theory]
    [InlineData(true, "16000400F20025", "writing bits of holding register 4: and with 00 F2, or with 00 25")] // 6.16
    [InlineData(false, "16000400F20025", "written")] // 6.16
    [InlineData(
        true,
        "1700030006000E00030600FF00FF00FF",
        "writing holding registers 14 to 16 and reading holding registers 3 to 8: 00 FF 00 FF 00 FF"
    )] // 6.17
    [InlineData(false, "170C00FE0ACD00010003000D00FF", "12 bytes: 00 FE 0A CD 00 01 00 03 00 0D 00 FF")] // 6.17
    [InlineData(true, "2B0E0100", "who are you, level 1 from object 0")] // 6.21
    [InlineData(true, "0400080001", "reading input register 8")] // 6.4
    [InlineData(false, "8402", "function 4 refused, exception 0x02 (illegal data address)")] // 7
    public void Bodies_are_said_in_words(bool isSent, string pdu, string words) =>
        Assert.EndsWith($"unit 1: {words}", FrameWords.Meaning(Tcp, isSent, Framed(pdu)), StringComparison.Ordinal);

    // MODBUS over serial line V1.02, 2.5.2.1 gives the characters of a frame; D8 is the check of 01 01 00 13 00 13.
    [Theory]
    [InlineData(":010100130013D8\r\n", "unit 1: reading coils 19 to 37")]
    [InlineData(":010100130013D9\r\n", "its check is wrong: \":010100130013D9<CR><LF>\"")]
    [InlineData(":0101001300", "part of a frame: \":0101001300\"")]
    public void Ascii_frames_are_said_in_words(string text, string words) =>
        Assert.Equal(
            words,
            FrameWords.Meaning(
                Tcp with
                {
                    Protocol = Protocol.ModbusAscii,
                },
                isSent: true,
                Encoding.ASCII.GetBytes(text)
            )
        );
}
