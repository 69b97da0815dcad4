using LoadTest.Sequencer.Text;

namespace LoadTest.Records.Verifying;

/// <summary>Where a journal, every frame of which holds, says what no run can have done.</summary>
/// <param name="Law">The law, in words.</param>
/// <param name="Frame">The first frame that breaks it, from 0.</param>
/// <param name="Found">What was found there, a phrase.</param>
public sealed record LawBreach(string Law, long Frame, string Found)
{
    /// <summary>One sentence for a person.</summary>
    public override string ToString() => $"Frame {Frame}: {SentenceText.Of(Found)} The law: {SentenceText.Of(Law)}";
}
