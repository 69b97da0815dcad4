namespace LoadTest.Instruments.Line;

/// <summary>A line to a device in the same process and on the same pump, joined by two delegates; it has no thread.</summary>
/// <param name="name">What messages call it.</param>
/// <param name="isHalfDuplex">Whether only one side may talk at a time.</param>
/// <param name="time">The pump, whose timestamps the delivered bytes carry.</param>
public sealed class MemoryLine(string name, bool isHalfDuplex, TimeProvider time) : ILine
{
    private string? _lost;

    /// <inheritdoc/>
    public string Name { get; } = name;

    /// <inheritdoc/>
    public bool IsHalfDuplex { get; } = isHalfDuplex;

    /// <summary>Takes what is sent towards the device; null drops it, as an open wire does.</summary>
    public Action<ReadOnlySpan<byte>>? ToDevice { get; set; }

    /// <inheritdoc/>
    public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    /// <inheritdoc/>
    public Action<string>? Lost { get; set; }

    /// <inheritdoc/>
    public Action<Action>? Reopened { get; set; }

    /// <inheritdoc/>
    public Action? Returned { get; set; }

    /// <inheritdoc/>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        if (_lost is not null)
            throw new IOException($"Line {Name}: {_lost}");
        ToDevice?.Invoke(bytes);
    }

    /// <summary>Delivers bytes from the device, on the pump, stamped with its present time.</summary>
    public void Deliver(ReadOnlyMemory<byte> bytes)
    {
        if (_lost is null && !bytes.IsEmpty)
            Received?.Invoke(bytes, time.GetTimestamp());
    }

    /// <summary>Ends the line, as pulling the plug does; on the pump.</summary>
    /// <param name="reason">Why, in words.</param>
    public void Lose(string reason)
    {
        if (_lost is not null)
            return;
        _lost = reason;
        Lost?.Invoke(reason);
    }

    /// <summary>Loses the line, false, or brings it back, true.</summary>
    public void Plug(bool isIn)
    {
        if (isIn)
            Return();
        else
            Lose("port lost: the plug was pulled");
    }

    /// <summary>Brings a lost line back, as plugging it in again does; on the pump.</summary>
    public void Return()
    {
        if (_lost is null)
            return;
        if (Reopened is { } reopened)
            reopened(() => _lost = null);
        else
            _lost = null;
        Returned?.Invoke();
    }
}
