namespace LoadTest.RecordsTests.Journaling;

/// <summary>The power failed.</summary>
internal sealed class PowerCutException : IOException;

/// <summary>A file on a disk that may lose its power: what was not synced may be there, missing, torn, in any order, or rubbish.</summary>
/// <remarks>
/// Common practice, no source: sectors of 512 bytes are kept or lost each on their own; the length is metadata of its own, so a
/// file may have grown over sectors that were never written and hold zeros or whatever the disk held before.
/// </remarks>
internal sealed class CutDisk(byte[] content, Random chance) : MemoryStream
{
    private const int Sector = 512;
    private readonly List<(long At, byte[]? Bytes)> _pending = [];
    private byte[] _durable = content;
    private int _operations;

    /// <summary>Power fails at this operation, counted from 0; never without one.</summary>
    public int CutAt { get; init; } = int.MaxValue;

    /// <summary>Starts to be used: its content is read from the beginning.</summary>
    public CutDisk Ready()
    {
        base.Write(_durable, 0, _durable.Length);
        Position = 0;
        return this;
    }

    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    public override void Write(ReadOnlySpan<byte> buffer)
    {
        var bytes = buffer.ToArray();
        _pending.Add((Position, bytes));
        MayCut();
        base.Write(bytes, 0, bytes.Length);
    }

    public override void SetLength(long value)
    {
        _pending.Add((value, null));
        MayCut();
        base.SetLength(value);
    }

    public void MakeDurable()
    {
        MayCut();
        _durable = ToArray();
        _pending.Clear();
        MayCut();
    }

    /// <summary>What is found after the power came back.</summary>
    public byte[] Found()
    {
        var found = new List<byte>(_durable);
        var pieces = _pending.SelectMany(Pieces).ToArray();
        chance.Shuffle(pieces);
        foreach (var (at, bytes) in pieces)
        {
            if (bytes is null)
                Resize(found, at);
            else
                Put(found, (int)at, bytes);
        }
        return [.. found];
    }

    private void MayCut()
    {
        if (_operations++ == CutAt)
            throw new PowerCutException();
    }

    // Each piece is lost, whole, or torn after some of its bytes; a growing length may come without any.
    private IEnumerable<(long At, byte[]? Bytes)> Pieces((long At, byte[]? Bytes) pending)
    {
        if (pending.Bytes is not { } bytes)
        {
            if (chance.Next(2) == 0)
                yield return pending;
            yield break;
        }
        if (chance.Next(4) == 0)
            yield return (pending.At + chance.Next(bytes.Length + 1), null);
        for (var from = 0; from < bytes.Length; )
        {
            var to = Math.Min(bytes.Length, from + Sector - (int)((pending.At + from) % Sector));
            var length = chance.Next(3) switch
            {
                0 => 0,
                1 => to - from,
                _ => chance.Next(to - from + 1),
            };
            if (length > 0)
                yield return (pending.At + from, bytes[from..(from + length)]);
            from = to;
        }
    }

    private void Put(List<byte> found, int at, byte[] bytes)
    {
        if (found.Count < at)
            Resize(found, at);
        for (var k = 0; k < bytes.Length; k++)
        {
            if (at + k < found.Count)
                found[at + k] = bytes[k];
            else
                found.Add(bytes[k]);
        }
    }

    private void Resize(List<byte> found, long length)
    {
        if (found.Count > length)
            found.RemoveRange((int)length, found.Count - (int)length);
        var isRubbish = chance.Next(2) == 0;
        while (found.Count < length)
            found.Add(isRubbish ? (byte)chance.Next(256) : (byte)0);
    }
}
