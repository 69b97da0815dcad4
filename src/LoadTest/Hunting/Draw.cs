namespace LoadTest.Hunting;

/// <summary>Chance of one seed: SplitMix64 (Steele, Lea, Flood 2014; from memory), whole numbers only.</summary>
internal sealed class Draw(ulong seed)
{
    private ulong _state = seed;

    /// <summary>64 random bits.</summary>
    public ulong Bits()
    {
        unchecked
        {
            _state += 0x9E3779B97F4A7C15UL;
            var z = (_state ^ (_state >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            return z ^ (z >> 31);
        }
    }

    /// <summary>A whole number from 0 to <paramref name="count"/> − 1.</summary>
    public int Below(int count) => (int)(Bits() % (ulong)count);

    /// <summary>Whether something of this probability, in percent, happens.</summary>
    public bool Percent(int percent) => Below(100) < percent;

    /// <summary>One of several, each as likely.</summary>
    public T Of<T>(IReadOnlyList<T> several) => several[Below(several.Count)];

    /// <summary>A time between two, in steps of 0.1 ms.</summary>
    public TimeSpan Between(double leastMilliseconds, double mostMilliseconds)
    {
        var least = (long)(leastMilliseconds * 10);
        var most = (long)(mostMilliseconds * 10);
        return TimeSpan.FromTicks((least + (long)(Bits() % (ulong)(most - least + 1))) * 1000);
    }

    /// <summary>Another chance that follows from this one, for a part that draws on its own.</summary>
    public Draw Branch() => new(Bits());
}
