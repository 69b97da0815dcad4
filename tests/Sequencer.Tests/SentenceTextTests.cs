using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>Texts of unknown end joined to sentences.</summary>
public sealed class SentenceTextTests
{
    [Theory]
    [InlineData("the engine stands")]
    [InlineData("the engine stands.")]
    [InlineData("the engine stands..")]
    [InlineData("the engine stands. ")]
    public void Sentence_has_one_full_stop_and_a_clause_has_none(string text)
    {
        Assert.Equal("the engine stands.", SentenceText.Of(text));
        Assert.Equal("the engine stands", SentenceText.Clause(text));
    }

    [Fact]
    public void Question_keeps_its_mark() => Assert.Equal("Does it stand?", SentenceText.Of("Does it stand?"));

    /// <summary>What .NET says of these names objects of the program, and nothing a person has in hand.</summary>
    [Fact]
    public void Object_of_the_program_is_never_named_to_a_person()
    {
        Exception[] troubles =
        [
            new ObjectDisposedException("System.Net.Sockets.Socket"),
            new AggregateException(new ObjectDisposedException("SerialPort")),
            new OperationCanceledException(),
            new ArgumentException("A line is missing.", "lines"),
        ];
        Assert.Equal(
            ["it was closed here meanwhile", "it was closed here meanwhile", "it was given up", "A line is missing"],
            troubles.Select(SentenceText.Clause),
            StringComparer.Ordinal
        );
    }
}
