using LoadTest.Sequencer.Ports;

namespace LoadTest.Instruments.Line;

/// <summary>What became of one urgent frame each time it was asked for; counted and read from any thread.</summary>
internal sealed class UrgentCount
{
    private long _written;
    private long _answered;
    private long _failed;

    public AllOffCounts Now =>
        new(Interlocked.Read(ref _written), Interlocked.Read(ref _answered), Interlocked.Read(ref _failed));

    public void Write() => Interlocked.Increment(ref _written);

    public void Answer() => Interlocked.Increment(ref _answered);

    public void Fail() => Interlocked.Increment(ref _failed);
}
