using LoadTest.Instruments.Line;

namespace LoadTest.InstrumentsTests.Fuzzing;

/// <summary>What every verdict about received bytes must keep, or the loop above it never ends.</summary>
internal static class Laws
{
    /// <summary>More takes nothing; everything else takes at least one byte, and no more than there are.</summary>
    public static void Hold(Examined examined, int received)
    {
        var isSound =
            examined.Verdict == Verdict.More ? examined.Used == 0 : examined.Used > 0 && examined.Used <= received;
        if (!isSound)
            throw new InvalidOperationException(
                $"a verdict of {examined.Verdict} took {examined.Used} of {received} bytes"
            );
    }
}
