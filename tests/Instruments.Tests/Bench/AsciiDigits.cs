using System.Globalization;
using System.Text;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>ASCII frames of the tests' own codec, byte by byte from MODBUS over serial line V1.02, 2.5.2.</summary>
internal static class AsciiDigits
{
    /// <summary>Unit and body of a frame as an RTU frame with its check, which is what the device understands.</summary>
    public static byte[] Unwrapped(ReadOnlySpan<byte> frame)
    {
        var text = Encoding.ASCII.GetString(frame);
        Assert.Equal(':', text[0]);
        Assert.EndsWith("\r\n", text, StringComparison.Ordinal);
        var bytes = new byte[(text.Length - 3) / 2];
        for (var k = 0; k < bytes.Length; k++)
            bytes[k] = byte.Parse(
                text.AsSpan(1 + 2 * k, 2),
                NumberStyles.AllowHexSpecifier,
                CultureInfo.InvariantCulture
            );
        Assert.Equal(0, bytes.Sum(b => b) % 256);
        var crc = OwnAddressDevice.Crc(bytes.AsSpan(0, bytes.Length - 1));
        return [.. bytes[..^1], (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }

    /// <summary>The frame around unit and body.</summary>
    public static byte[] Wrapped(byte[] bare)
    {
        var check = (256 - bare.Sum(b => b) % 256) % 256;
        return Encoding.ASCII.GetBytes($":{string.Concat(bare.Select(b => $"{b:X2}"))}{check:X2}\r\n");
    }
}
