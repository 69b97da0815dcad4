namespace LoadTest.Sequencer.Engine;

/// <summary>How far apart a pump's signs of life were, in real time: how near the machine came to being too late.</summary>
/// <remarks>
/// Written by the pump's own thread alone; <see cref="Since"/> and <see cref="TakeSilence"/> are for the dead-man thread. Eight classes of gaps, ms: up to 15, 25, 60, 125,
/// 250, 500, 1 000, and longer. A pump with nothing to do wakes every 50 ms, so a machine at rest fills the first three.
/// </remarks>
public sealed class Heartbeat
{
    private static readonly double[] Edges = [15, 25, 60, 125, 250, 500, 1000];
    private readonly long[] _counts = new long[Edges.Length + 1];
    private long _gap;
    private long _last = TimeProvider.System.GetTimestamp();

    /// <summary>Upper edges of the classes, ms; the last class has none.</summary>
    public static IReadOnlyList<double> ClassEdges => Edges;

    /// <summary>How many gaps fell into each class.</summary>
    public IReadOnlyList<long> Counts => _counts;

    /// <summary>The longest gap so far.</summary>
    public TimeSpan Longest { get; private set; }

    /// <summary>Real time since the last sign of life; from any thread.</summary>
    public TimeSpan Since => TimeProvider.System.GetElapsedTime(Volatile.Read(ref _last));

    /// <summary>The longest silence since this was last asked, the present one included; for the dead-man thread alone.</summary>
    /// <remarks>A process that was stopped and goes on may beat before anybody looks: the silence is behind it then, and was one all the same.</remarks>
    public TimeSpan TakeSilence()
    {
        var past = TimeSpan.FromTicks(Interlocked.Exchange(ref _gap, 0));
        var present = Since;
        return present > past ? present : past;
    }

    /// <summary>The first sign of life of a run of the pump; what lies before it is no gap.</summary>
    internal void Begin() => Volatile.Write(ref _last, TimeProvider.System.GetTimestamp());

    /// <summary>A sign of life.</summary>
    internal void Beat()
    {
        var now = TimeProvider.System.GetTimestamp();
        var gap = TimeProvider.System.GetElapsedTime(_last, now);
        Volatile.Write(ref _last, now);
        if (gap > Longest)
            Longest = gap;
        if (gap.Ticks > Volatile.Read(ref _gap))
            Volatile.Write(ref _gap, gap.Ticks);
        var k = 0;
        while (k < Edges.Length && gap.TotalMilliseconds > Edges[k])
            k++;
        _counts[k]++;
    }
}
