using CsCheck;
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

    /// <summary>Whatever stands in a string of a JSON document, the document shows nothing hidden and is read as the same string.</summary>
    [Fact]
    public void Json_shows_no_hidden_character_and_reads_as_the_same() =>
        Gen.OneOf(
                Gen.String["\u202E\u2066\u200B\uFEFF\u00AD\u001B\u0085\u2028\u007F\"\\\nab Ω"],
                Gen.Const("\U000E0041\U0001F600")
            )
            .Sample(text =>
            {
                var options = new System.Text.Json.JsonWriterOptions
                {
                    Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
                };
                using var bytes = new MemoryStream();
                using (var json = new System.Text.Json.Utf8JsonWriter(bytes, options))
                    json.WriteStringValue(text);
                var shown = VisibleText.OfJson(System.Text.Encoding.UTF8.GetString(bytes.ToArray()));
                Assert.Equal(shown, VisibleText.Of(shown, keepsLines: true));
                using var document = System.Text.Json.JsonDocument.Parse(shown);
                Assert.Equal(text, document.RootElement.GetString());
            });

    [Fact]
    public void Right_to_left_override_in_json_is_its_escape() =>
        Assert.Equal("\"a\\u202Eb\"", VisibleText.OfJson("\"a\u202Eb\""));
}
