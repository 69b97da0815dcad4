using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

public sealed class VisibleTextTests
{
    // Numbers and categories by the Unicode Character Database: Cc, Cf, Zl, Zp.
    [Theory]
    [InlineData("plain, 8.8 Ω ± 5 % µV °C − ½", "plain, 8.8 Ω ± 5 % µV °C − ½")]
    [InlineData("\u001B[2Jgone", "<U+001B>[2Jgone")]
    [InlineData("a\u0000b\u0007c\u009Bd\u007F", "a<U+0000>b<U+0007>c<U+009B>d<U+007F>")]
    [InlineData("a\u202Eb\u2066c\u061Cd", "a<U+202E>b<U+2066>c<U+061C>d")]
    [InlineData("a\u200Bb\uFEFFc\u00ADd", "a<U+200B>b<U+FEFF>c<U+00AD>d")]
    [InlineData("a\u2028b\u2029c", "a<U+2028>b<U+2029>c")]
    [InlineData("\U0001F600 and \U000E0041", "\U0001F600 and <U+E0041>")]
    [InlineData("line\nline", "line<U+000A>line")]
    public void What_steers_or_hides_is_shown_by_its_number(string text, string shown) =>
        Assert.Equal(shown, VisibleText.Of(text));

    [Fact]
    public void Half_a_surrogate_pair_is_marked() =>
        Assert.Equal("a<U+D800>b", VisibleText.Of("a" + (char)0xD800 + "b"));

    [Fact]
    public void Line_feeds_stay_where_lines_are_meant() =>
        Assert.Equal("one\ntwo<U+000D>", VisibleText.Of("one\ntwo\r", keepsLines: true));
}
