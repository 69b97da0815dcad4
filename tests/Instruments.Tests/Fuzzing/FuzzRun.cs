using System.Diagnostics;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>So many inputs put through a decoder.</summary>
/// <param name="Inputs">How many.</param>
/// <param name="Ends">How many kinds of end they came to.</param>
/// <param name="Slowest">Longest time of one, the shortest of three.</param>
/// <param name="MostAllocated">Most bytes one of them allocated.</param>
/// <param name="Kept">The first input of each kind of end.</param>
internal sealed record FuzzRun(long Inputs, int Ends, TimeSpan Slowest, long MostAllocated, IReadOnlyList<byte[]> Kept)
{
    /// <summary>Kinds of end beyond these are only counted: what is kept stays small.</summary>
    private const int MostKept = 400;

    /// <summary>Runs; an input that breaks a law or allocates beyond the decoder's bound is thrown with its bytes.</summary>
    /// <param name="decoder">The decoder.</param>
    /// <param name="corpus">Inputs to begin with; each is also run as it is.</param>
    /// <param name="inputs">How many are made from them.</param>
    /// <param name="seed">Seed of the making.</param>
    /// <param name="watch">Told of each input before it runs, so that one that never ends can be shown; null for nobody.</param>
    public static FuzzRun Of(
        Decoder decoder,
        IEnumerable<byte[]> corpus,
        long inputs,
        ulong seed,
        Action<byte[]>? watch
    )
    {
        var mutation = new Mutation(seed, decoder.Words);
        var kept = corpus.ToList();
        var ends = new HashSet<int>();
        var found = new List<byte[]>();
        var (slowest, most) = (0L, 0L);
        var given = kept.ToArray();
        for (var k = 0L; k < given.Length + inputs; k++)
        {
            var input = k < given.Length ? given[k] : Made(decoder, mutation, kept);
            watch?.Invoke(input);
            var allocated = GC.GetAllocatedBytesForCurrentThread();
            var start = Stopwatch.GetTimestamp();
            var end = Decoded(decoder, input);
            var took = Stopwatch.GetTimestamp() - start;
            allocated = GC.GetAllocatedBytesForCurrentThread() - allocated;
            slowest = Math.Max(slowest, took > slowest ? Again(decoder, input, took) : 0);
            most = Math.Max(most, allocated);
            if (allocated > decoder.MostAllocated)
                throw Broken(decoder, input, $"it allocated {allocated} bytes; {decoder.MostAllocated} are allowed");
            if (!ends.Add(end) || found.Count >= MostKept)
                continue;
            found.Add(input);
            if (k >= given.Length)
                kept.Add(input);
        }
        return new FuzzRun(inputs, ends.Count, Stopwatch.GetElapsedTime(0, slowest), most, found);
    }

    /// <summary>The shortest of its time and two more: what a busy machine adds is not the decoder's.</summary>
    private static long Again(Decoder decoder, byte[] input, long took)
    {
        for (var k = 0; k < 2; k++)
        {
            var start = Stopwatch.GetTimestamp();
            decoder.Decode(input);
            took = Math.Min(took, Stopwatch.GetTimestamp() - start);
        }
        return took;
    }

    private static byte[] Made(Decoder decoder, Mutation mutation, List<byte[]> kept)
    {
        var input = mutation.From(kept);
        return decoder.Mend is { } mend && mutation.Below(2) == 0 ? mend(input) : input;
    }

    private static int Decoded(Decoder decoder, byte[] input)
    {
        try
        {
            return decoder.Decode(input);
        }
        catch (Exception trouble)
        {
            throw Broken(decoder, input, trouble.Message, trouble);
        }
    }

    private static InvalidOperationException Broken(
        Decoder decoder,
        byte[] input,
        string what,
        Exception? trouble = null
    ) => new($"{decoder.Name}: on {Convert.ToHexString(input)} {what}", trouble);
}
