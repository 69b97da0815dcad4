namespace LoadTest.Instruments.Line;

/// <summary>Bytes received and not yet understood; grows to a limit and never beyond.</summary>
internal sealed class ReceiveBuffer
{
    /// <summary>Most bytes held; more than any reply of a known protocol has.</summary>
    public const int MostBytes = 1 << 16;

    private byte[] _bytes = new byte[512];
    private int _count;

    public bool IsEmpty => _count == 0;

    public int Count => _count;

    public ReadOnlySpan<byte> Span => _bytes.AsSpan(0, _count);

    /// <summary>Adds bytes; false when they would exceed the limit, and then nothing is kept.</summary>
    public bool Append(ReadOnlySpan<byte> bytes)
    {
        var needed = _count + bytes.Length;
        if (needed > MostBytes)
        {
            _count = 0;
            return false;
        }
        if (needed > _bytes.Length)
            Array.Resize(ref _bytes, Math.Max(needed, _bytes.Length * 2));
        bytes.CopyTo(_bytes.AsSpan(_count));
        _count = needed;
        return true;
    }

    public void Consume(int count)
    {
        var rest = _count - count;
        if (rest > 0)
            _bytes.AsSpan(count, rest).CopyTo(_bytes);
        _count = rest;
    }

    public void Clear() => _count = 0;
}
