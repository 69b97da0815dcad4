using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments;

/// <summary>A line to an instrument that is only looked at: everything that passes is told, nothing but questions is sent.</summary>
public sealed class TappedLine : ILine
{
    private readonly ILine _line;
    private readonly InstrumentDefinition _definition;
    private readonly TimeProvider _time;
    private long _sentAt;
    private bool _isAwaited;

    /// <summary>Puts itself between a line and who uses it.</summary>
    /// <param name="line">The line.</param>
    /// <param name="definition">What is at its other end.</param>
    /// <param name="time">The pump.</param>
    public TappedLine(ILine line, InstrumentDefinition definition, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(line);
        ArgumentNullException.ThrowIfNull(time);
        (_line, _definition, _time) = (line, definition, time);
        line.Received = Take;
        line.Lost = reason => Lost?.Invoke(reason);
        line.Returned = () => Returned?.Invoke();
    }

    /// <inheritdoc/>
    public string Name => _line.Name;

    /// <inheritdoc/>
    public bool IsHalfDuplex => _line.IsHalfDuplex;

    /// <inheritdoc/>
    public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    /// <inheritdoc/>
    public Action<string>? Lost { get; set; }

    /// <inheritdoc/>
    /// <remarks>Nobody here: nothing is owed on a line that is only looked at.</remarks>
    public Action<Action>? Reopened { get; set; }

    /// <inheritdoc/>
    public Action? Returned { get; set; }

    /// <summary>Told of everything that passes, on the pump: whether it was sent, the bytes, and when.</summary>
    public Action<bool, ReadOnlyMemory<byte>, long>? Passed { get; set; }

    /// <summary>When the last byte came; null before the first.</summary>
    public long? LastByte { get; private set; }

    /// <summary>From the last request to the last byte that answered it.</summary>
    public TimeSpan? RoundTrip { get; private set; }

    /// <summary>The longest of those.</summary>
    public TimeSpan LongestRoundTrip { get; private set; }

    /// <inheritdoc/>
    public void Send(ReadOnlySpan<byte> bytes)
    {
        if (ReadOnlyRule.Objection(_definition, bytes) is { } objection)
            throw new IOException($"{Name}: nothing is sent here but questions, and {objection}.");
        _sentAt = _time.GetTimestamp();
        _isAwaited = true;
        Passed?.Invoke(true, bytes.ToArray(), _sentAt);
        _line.Send(bytes);
    }

    private void Take(ReadOnlyMemory<byte> bytes, long stamp)
    {
        LastByte = stamp;
        if (_isAwaited)
        {
            RoundTrip = _time.GetElapsedTime(_sentAt, stamp);
            LongestRoundTrip = RoundTrip > LongestRoundTrip ? RoundTrip.Value : LongestRoundTrip;
        }
        Passed?.Invoke(false, bytes, stamp);
        Received?.Invoke(bytes, stamp);
    }
}
