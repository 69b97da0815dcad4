namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Inputs made from kept ones: bits flipped, bytes put in, cut out, doubled, two joined; the same seed gives the same inputs.</summary>
internal sealed class Mutation(ulong seed, byte[][] words)
{
    private const int MostBytes = 8192;
    private static readonly byte[] Edges = [0, 1, 0x7F, 0x80, 0xFE, 0xFF, (byte)'\n', (byte)'\r', (byte)':', (byte)'#'];

    private ulong _state = unchecked(seed * 0x9E3779B97F4A7C15UL) | 1;

    /// <summary>A number from 0 up to, not with, <paramref name="end"/>.</summary>
    public int Below(int end)
    {
        // Xorshift64*, after Marsaglia and Vigna.
        _state ^= _state >> 12;
        _state ^= _state << 25;
        _state ^= _state >> 27;
        return (int)((unchecked(_state * 0x2545F4914F6CDD1DUL) >> 33) % (ulong)end);
    }

    /// <summary>The next input.</summary>
    public byte[] From(List<byte[]> kept)
    {
        if (kept.Count == 0 || Below(16) == 0)
            return Bytes(Below(64));
        var input = kept[Below(kept.Count)];
        for (var left = 1 + Below(4); left > 0; left--)
            input = Changed(input, kept);
        return input.Length > MostBytes ? input[..MostBytes] : input;
    }

    private byte[] Changed(byte[] input, List<byte[]> kept)
    {
        var at = Below(input.Length + 1);
        var end = at + Below(Math.Min(input.Length - at, 40) + 1);
        switch (Below(9))
        {
            case 0:
                return Put(input, at, bytes => (byte)(bytes ^ 1 << Below(8)));
            case 1:
                return Put(input, at, _ => Edges[Below(Edges.Length)]);
            case 2:
                return Put(input, at, _ => (byte)Below(256));
            case 3:
                return [.. input[..at], .. Bytes(1 + Below(4)), .. input[at..]];
            case 4:
                return [.. input[..at], .. input[end..]];
            case 5:
                return [.. input[..end], .. input[at..]];
            case 6:
                return input[..at];
            case 7 when words.Length > 0:
                return [.. input[..at], .. words[Below(words.Length)], .. input[end..]];
            default:
                var other = kept[Below(kept.Count)];
                return [.. input[..at], .. other[Below(other.Length + 1)..]];
        }
    }

    private static byte[] Put(byte[] input, int at, Func<byte, byte> change)
    {
        if (at == input.Length)
            return input;
        var changed = (byte[])input.Clone();
        changed[at] = change(changed[at]);
        return changed;
    }

    private byte[] Bytes(int count)
    {
        var bytes = new byte[count];
        for (var k = 0; k < count; k++)
            bytes[k] = (byte)Below(256);
        return bytes;
    }
}
