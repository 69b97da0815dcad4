using CsCheck;
using LoadTest.Commands;
using LoadTest.Sequencer.Planning;

namespace LoadTest.SystemTests.CommandLine;

public sealed class ScreenTests
{
    private static readonly TextTable Table = new(
        "Verdicts",
        [new("what", IsNumber: false), new("Ω", IsNumber: true)],
        [
            ["long name", "8.5"],
            ["[red]", "10"],
            ["fail", ""],
        ]
    );

    private static string Shown(bool isTerminal, bool isJson, out string trouble)
    {
        using var output = new StringWriter { NewLine = "\n" };
        using var wrong = new StringWriter { NewLine = "\n" };
        var screen = new Screen(output, wrong, isTerminal, hasColour: false, isJson);
        screen.Line("a line");
        screen.Table(Table);
        screen.Trouble("trouble");
        screen.Document["exit"] = 0;
        screen.Emit();
        screen.Emit();
        trouble = wrong.ToString();
        return output.ToString();
    }

    [Fact]
    public void Tables_in_a_pipe_are_columns_set_apart_by_spaces() =>
        Assert.Equal(
            "a line\nVerdicts\n  what         Ω\n  long name  8.5\n  [red]       10\n  fail\n",
            Shown(isTerminal: false, isJson: false, out _)
        );

    [Fact]
    public void Json_is_one_document_and_trouble_is_in_it_and_on_standard_error()
    {
        Assert.Equal(
            "{\"trouble\":[\"trouble\"],\"exit\":0}\n",
            Shown(isTerminal: true, isJson: true, out var trouble)
        );
        Assert.Equal("trouble\n", trouble);
    }

    [Fact]
    public void Json_document_steers_no_terminal()
    {
        using var output = new StringWriter { NewLine = "\n" };
        var screen = new Screen(output, output, isTerminal: false, hasColour: false, isJson: true);
        screen.Document["name"] = "a\u202Eb\u001B[2J";
        screen.Emit();
        Assert.Equal("{\"name\":\"a\\u202Eb\\u001B[2J\"}\n", output.ToString());
    }

    [Fact]
    public void Without_colour_a_terminal_gets_no_escape_and_brackets_stay_text()
    {
        var shown = Shown(isTerminal: true, isJson: false, out _);

        Assert.DoesNotContain('\u001b', shown);
        Assert.Contains("[red]", shown, StringComparison.Ordinal);
    }

    [Fact]
    public void Line_too_repeatedfor_a_terminal_goes_on_under_its_own_text() =>
        Assert.Equal(
            "  2:41.8  load off: all contacts read open\n          0.2 s after the removal",
            WrappedText.Of("  2:41.8  load off: all contacts read open 0.2 s after the removal", 44)
        );

    /// <summary>No word is lost, none is broken, and no line is wider than the terminal unless one word is.</summary>
    [Fact]
    public void Wrapped_text_says_the_same_within_the_width() =>
        Gen.Select(Gen.String["ab ωΩ.\n"].Where(t => !t.Contains("\r", StringComparison.Ordinal)), Gen.Int[40, 90])
            .Sample(
                (text, width) =>
                {
                    var repeated = string.Join(' ', Enumerable.Repeat(text, 9));
                    var wrapped = WrappedText.Of(repeated, width);
                    Assert.Equal(Words(repeated), Words(wrapped), StringComparer.Ordinal);
                    Assert.All(
                        wrapped.Split('\n'),
                        l =>
                            Assert.True(
                                l.TrimEnd().Length <= width || !l.Trim().Contains(' ', StringComparison.Ordinal),
                                l
                            )
                    );
                    Assert.Equal(repeated, WrappedText.Of(repeated, null));
                }
            );

    private static string[] Words(string text) => text.Split([' ', '\n'], StringSplitOptions.RemoveEmptyEntries);
}
