namespace LoadTest.Instruments.Line;

/// <summary>A wire to one or more instruments: bytes out, stamped bytes in, lost, open again; nothing else.</summary>
/// <remarks>Deadlines, drains and matching live above it, in the exchange.</remarks>
public interface ILine
{
    /// <summary>What messages call it, usually the instrument's id or its address.</summary>
    string Name { get; }

    /// <summary>Whether only one side may talk at a time, as on a two-wire bus.</summary>
    bool IsHalfDuplex { get; }

    /// <summary>Writes all bytes before it returns; callable from any thread.</summary>
    /// <exception cref="IOException">The line is lost, or did not take the bytes in its time; some of them may have left.</exception>
    void Send(ReadOnlySpan<byte> bytes);

    /// <summary>Called on the pump with bytes, valid during the call only, and the timestamp of their arrival.</summary>
    Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    /// <summary>Called on the pump when the line is gone, with the reason in words; not again before it is back.</summary>
    Action<string>? Lost { get; set; }

    /// <summary>Called by whoever opened a lost line again, on a thread of its own, with what lets others write on it; has to call that.</summary>
    /// <remarks>What it writes before it returns is on the line before <see cref="Returned"/> is said. With nobody here the line is simply open.</remarks>
    Action<Action>? Reopened { get; set; }

    /// <summary>Called on the pump when a lost line is back; what is at its other end has to say who it is before it is used.</summary>
    Action? Returned { get; set; }
}
