namespace LoadTest.Records.Journaling;

/// <summary>Frames not yet known durable, oldest first, with the time each was appended.</summary>
internal sealed class UnsafeFrames
{
    private readonly Queue<(int Length, long At)> _frames = new();
    private byte[] _bytes = new byte[4096];
    private int _from;
    private int _to;

    /// <summary>Time at which the oldest was appended; null when there is none.</summary>
    public long? Oldest => _frames.TryPeek(out var oldest) ? oldest.At : null;

    /// <summary>Their bytes, one behind the other; valid until the next change.</summary>
    public ReadOnlyMemory<byte> Bytes => _bytes.AsMemory(_from, _to - _from);

    /// <summary>Takes a frame; copies it.</summary>
    public void Add(ReadOnlySpan<byte> frame, long at)
    {
        if (_bytes.Length - _to < frame.Length)
            MakeRoom(frame.Length);
        frame.CopyTo(_bytes.AsSpan(_to));
        _to += frame.Length;
        _frames.Enqueue((frame.Length, at));
    }

    /// <summary>Forgets the oldest ones.</summary>
    public void Drop(long count)
    {
        for (; count > 0; count--)
            _from += _frames.Dequeue().Length;
        if (_frames.Count == 0)
            _from = _to = 0;
    }

    // Moved only into a half that is free, or each frame that comes could move all the others.
    private void MakeRoom(int length)
    {
        var used = _to - _from;
        var needed = used + length;
        var target = needed > _bytes.Length / 2 ? new byte[2 * needed] : _bytes;
        _bytes.AsSpan(_from, used).CopyTo(target);
        (_bytes, _from, _to) = (target, 0, used);
    }
}
