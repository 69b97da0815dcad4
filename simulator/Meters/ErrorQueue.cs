namespace LoadTest.Simulator.Meters;

/// <summary>The error queue and the event status it feeds.</summary>
/// <remarks>SCPI-99 volume 2, 21.8: first in, first out; when full the last entry becomes −350. Number ranges set the bits of
/// the standard event register: −1xx command error, −2xx execution, −3xx device, −4xx query.</remarks>
internal sealed class ErrorQueue
{
    private const int Depth = 20;

    private readonly LinkedList<ScpiError> _entries = new();

    /// <summary>How many are waiting.</summary>
    public int Count => _entries.Count;

    /// <summary>Enters an error.</summary>
    public void Add(ScpiError error)
    {
        if (_entries.Count == Depth)
        {
            _entries.RemoveLast();
            error = ScpiError.QueueOverflow;
        }

        _entries.AddLast(error);
    }

    /// <summary>Takes the oldest; "no error" when there is none.</summary>
    public ScpiError Take()
    {
        if (_entries.First is not { } first)
        {
            return ScpiError.None;
        }

        _entries.RemoveFirst();
        return first.Value;
    }

    public void Clear() => _entries.Clear();
}
