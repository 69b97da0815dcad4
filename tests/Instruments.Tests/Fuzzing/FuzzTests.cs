namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>Every decoder of bytes from outside, on kept inputs and on what is made from them; `benchmarks -- fuzz` runs ten million each.</summary>
public sealed class FuzzTests
{
    private const int Inputs = 20_000;

    public static TheoryData<string> Names => [.. Decoders.All.Select(d => d.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void Any_bytes_come_to_an_end_without_a_crash_and_within_bounds(string name)
    {
        var decoder = Decoders.All.Single(d => d.Name == name);
        var corpus = Corpus.Of(Path.Combine(AppContext.BaseDirectory, "fuzz"), decoder);
        Assert.NotEmpty(corpus);
        var run = FuzzRun.Of(decoder, corpus, name == "definition-files" ? Inputs / 20 : Inputs, seed: 1, watch: null);
        Assert.InRange(run.Ends, 3, int.MaxValue);
    }

    [Fact]
    public void Same_seed_gives_the_same_inputs()
    {
        List<byte[]> corpus =
        [
            [1, 2, 3, 4, 5],
        ];
        var (one, two) = (new Mutation(7, []), new Mutation(7, []));
        for (var k = 0; k < 100; k++)
            Assert.Equal(one.From(corpus), two.From(corpus));
    }

    [Fact]
    public void Broken_law_is_told_with_its_input()
    {
        var decoder = new Decoder(
            "broken",
            input => input.Length > 3 ? throw new IOException("too long") : 1,
            null,
            [],
            9999
        );
        var trouble = Assert.Throws<InvalidOperationException>(() =>
            FuzzRun.Of(
                decoder,
                [
                    [1, 2, 3],
                ],
                1000,
                1,
                null
            )
        );
        Assert.Contains("too long", trouble.Message, StringComparison.Ordinal);
    }
}
