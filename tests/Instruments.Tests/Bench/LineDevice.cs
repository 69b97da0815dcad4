using System.Text;

namespace LoadTest.InstrumentsTests.Bench;

/// <summary>A text instrument of the tests' own: answers each query with what the test laid down for it.</summary>
internal sealed class LineDevice(TimeProvider time)
{
    private readonly List<ITimer> _timers = [];
    private readonly List<byte> _line = [];
    private long _free;

    public Action<ReadOnlyMemory<byte>>? Answer { get; set; }

    public TimeSpan Delay { get; set; } = TimeSpan.FromMilliseconds(5);

    public string Terminator { get; set; } = "\n";

    /// <summary>What a query is answered with; a function of how often it was asked before.</summary>
    public Dictionary<string, Func<int, string?>> Replies { get; } = new(StringComparer.Ordinal);

    /// <summary>What becomes of the next replies: a delay, zero for lost; empty for as usual.</summary>
    public Queue<TimeSpan> Delays { get; } = new();

    public List<string> Heard { get; } = [];

    public void Receive(ReadOnlySpan<byte> bytes)
    {
        foreach (var b in bytes)
        {
            if (b != '\n')
            {
                _line.Add(b);
                continue;
            }
            Take(Encoding.ASCII.GetString([.. _line]));
            _line.Clear();
        }
    }

    private void Take(string message)
    {
        if (message.StartsWith("*ESE ", StringComparison.Ordinal))
        {
            // Stores a number and gives it back, as IEEE 488.2 demands of every instrument.
            Give(message["*ESE ".Length..message.IndexOf(';', StringComparison.Ordinal)]);
            return;
        }
        var before = Heard.Count(h => h == message);
        Heard.Add(message);
        if (!Replies.TryGetValue(message, out var reply) || reply(before) is not { } text)
            return;
        Give(text);
    }

    private void Give(string text)
    {
        var delay = Delays.Count > 0 ? Delays.Dequeue() : Delay;
        if (delay > TimeSpan.Zero)
            Later(delay, Encoding.Latin1.GetBytes(text + Terminator));
    }

    private void Later(TimeSpan delay, byte[] bytes)
    {
        var now = time.GetTimestamp();
        _free = Math.Max(_free, now + delay.Ticks);
        _timers.Add(
            time.CreateTimer(
                _ => Answer?.Invoke(bytes),
                null,
                TimeSpan.FromTicks(_free - now),
                Timeout.InfiniteTimeSpan
            )
        );
    }
}
