using LoadTest.Hunting;

namespace LoadTest.SystemTests.Hunting;

/// <summary>One seed, the same bytes: again, beside other pumps, and on another thread.</summary>
public sealed class SameBytesTests
{
    private static readonly ulong[] Seeds = [3, 17, 58, 120];

    [Fact]
    public void A_seed_gives_the_same_journal_twice()
    {
        foreach (var seed in Seeds)
            Assert.Equal(Hunt.RunSeed(seed).Journal.ToArray(), Hunt.RunSeed(seed).Journal.ToArray());
    }

    [Fact]
    public void Seeds_differ() =>
        Assert.False(Hunt.RunSeed(Seeds[0]).Journal.Span.SequenceEqual(Hunt.RunSeed(Seeds[1]).Journal.Span));

    [Fact]
    public void A_seed_gives_the_same_journal_alone_and_beside_three_other_pumps()
    {
        var alone = Hunt.RunSeed(Seeds[0]).Journal.ToArray();
        var beside = new byte[Seeds.Length][];
        using var together = new Barrier(Seeds.Length);

        var threads = Seeds
            .Select(
                (seed, k) =>
                    new Thread(() =>
                    {
                        together.SignalAndWait();
                        beside[k] = Hunt.RunSeed(seed).Journal.ToArray();
                    })
            )
            .ToArray();
        foreach (var thread in threads)
            thread.Start();
        foreach (var thread in threads)
            thread.Join();

        Assert.Equal(alone, beside[0]);
    }

    [Fact]
    public void A_hunt_finds_the_same_on_one_thread_and_on_four()
    {
        var one = Hunt.Run(60, from: 500, threads: 1);
        var four = Hunt.Run(60, from: 500, threads: 4);

        Assert.Equal(one.Ends, four.Ends);
        Assert.Equal((one.Mishaps, one.Events, one.Span), (four.Mishaps, four.Events, four.Span));
    }
}
