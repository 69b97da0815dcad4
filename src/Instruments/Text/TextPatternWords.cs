using LoadTest.Sequencer.Benches;

namespace LoadTest.Instruments.Text;

/// <summary>What of a pattern a person reads as words.</summary>
internal static class TextPatternWords
{
    /// <summary>The characters in front of the first field.</summary>
    public static string Before(TextPattern pattern) =>
        pattern.Parts.Length > 0 && pattern.Parts[0] is TextPart.Fixed start ? start.Characters.Trim() : "";
}
