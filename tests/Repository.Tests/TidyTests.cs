using System.Text;
using System.Text.RegularExpressions;
using System.Xml.Linq;

namespace LoadTest.RepositoryTests;

/// <summary>Rules of the house that no compiler holds. Each failure lists every place at once.</summary>
public sealed partial class TidyTests
{
    private const int MostLines = 400;

    private static void None(IEnumerable<string> places)
    {
        var found = places.ToArray();
        Assert.True(found.Length == 0, string.Join('\n', found));
    }

    [Fact]
    public void Files_of_code_stay_below_four_hundred_lines()
    {
        None(
            RepositoryFiles
                .ProductCode.Select(p => (Path: p, Lines: RepositoryFiles.Read(p).Count(c => c == '\n')))
                .Where(f => f.Lines > MostLines)
                .Select(f => $"{f.Path}: {f.Lines} lines, at most {MostLines}")
        );
    }

    [Fact]
    public void Namespaces_follow_folders()
    {
        None(
            RepositoryFiles
                .ProductCode.Select(p =>
                    (
                        Path: p,
                        Wanted: NamespaceOf(p),
                        Found: Namespace().Match(RepositoryFiles.Read(p)).Groups["name"].Value
                    )
                )
                .Where(f => f.Found.Length > 0 && f.Found != f.Wanted)
                .Select(f => $"{f.Path}: {f.Found}, expected {f.Wanted}")
        );
    }

    [Fact]
    public void No_rule_is_switched_off_in_code()
    {
        None(
            RepositoryFiles
                .All.Where(p =>
                    p.EndsWith(".cs", StringComparison.Ordinal)
                    && !p.EndsWith("/TidyTests.cs", StringComparison.Ordinal)
                )
                .Where(p => Suppression().IsMatch(RepositoryFiles.Read(p)))
        );
    }

    [Fact]
    public void Type_names_are_nouns_of_the_field()
    {
        None(
            RepositoryFiles.ProductCode.SelectMany(p =>
                EmptyNoun().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Groups["name"].Value}")
            )
        );
    }

    [Fact]
    public void Texts_are_utf8_without_mark_with_line_feeds_and_a_last_line_end()
    {
        None(RepositoryFiles.Texts.Where(IsWrittenByHand).SelectMany(p => Form(p).Select(f => $"{p}: {f}")));
    }

    [Fact]
    public void No_path_of_any_machine_stands_in_a_file()
    {
        None(
            RepositoryFiles
                .Texts.Where(p => !p.EndsWith("/TidyTests.cs", StringComparison.Ordinal))
                .SelectMany(p => MachinePath().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Value}"))
        );
    }

    /// <summary>Files whose texts a person at the bench may read; the hunt and the simulator speak to whoever works on them.</summary>
    private static IEnumerable<string> SpokenCode =>
        RepositoryFiles.ProductCode.Where(p =>
            p.StartsWith("src/", StringComparison.Ordinal) && !p.Contains("/Hunting/", StringComparison.Ordinal)
        );

    /// <summary>What a library says of an exception ends in a full stop or not, and may name objects of the program: SentenceText knows.</summary>
    [Fact]
    public void No_exception_speaks_for_itself_in_a_sentence()
    {
        None(
            SpokenCode.SelectMany(p =>
                MessageInSentence().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Value}")
            )
        );
    }

    /// <summary>A text that may be a whole sentence, with a full stop behind it, ends in two.</summary>
    [Fact]
    public void No_text_of_unknown_end_has_a_full_stop_set_behind_it()
    {
        None(
            SpokenCode.SelectMany(p => StopBehindText().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Value}"))
        );
    }

    /// <summary>These formats change to powers of ten by themselves: 1E+06 is no number of the trade. Figures writes numbers for people.</summary>
    [Fact]
    public void No_format_of_a_number_may_change_to_an_exponent()
    {
        string[] forMachines =
        [
            "src/Records/Writing/ReadingsCsv.cs",
            "src/Instruments/Text/TextTemplate.cs",
            "src/Records/Writing/TenDigits.cs",
        ];
        None(
            SpokenCode
                .Except(forMachines, StringComparer.Ordinal)
                .SelectMany(p => ExponentFormat().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Value}"))
        );
    }

    /// <summary>Texts made for a person are the end of the way: what is decided rests on facts, so that a word may be changed.</summary>
    [Fact]
    public void No_decision_is_taken_from_words_made_for_a_person()
    {
        None(
            SpokenCode.SelectMany(p => WordsReadBack().Matches(RepositoryFiles.Read(p)).Select(m => $"{p}: {m.Value}"))
        );
    }

    [Fact]
    public void Package_versions_stand_in_one_place_and_are_locked_everywhere()
    {
        var projects = RepositoryFiles.All.Where(p => p.EndsWith(".csproj", StringComparison.Ordinal)).ToArray();

        None(
            projects.Where(p =>
                XDocument
                    .Parse(RepositoryFiles.Read(p))
                    .Descendants("PackageReference")
                    .Any(e => e.Attribute("Version") is not null)
            )
        );
        None(
            projects
                .Select(p => $"{Path.GetDirectoryName(p)!.Replace('\\', '/')}/packages.lock.json")
                .Where(p => !RepositoryFiles.All.Contains(p, StringComparer.Ordinal))
        );
    }

    [Fact]
    public void Solution_lists_every_project()
    {
        var solution = RepositoryFiles.Read("LoadTest.sln").Replace('\\', '/');

        None(
            RepositoryFiles
                .All.Where(p => p.EndsWith(".csproj", StringComparison.Ordinal))
                .Where(p => !solution.Contains(p, StringComparison.Ordinal))
        );
    }

    [Fact]
    public void Decisions_are_numbered_once_each()
    {
        var numbers = RepositoryFiles
            .All.Where(p =>
                p.StartsWith("docs/decisions/", StringComparison.Ordinal) && p.EndsWith(".md", StringComparison.Ordinal)
            )
            .Select(p => Path.GetFileName(p)[..4])
            .ToArray();

        None(numbers.Where(n => !n.All(char.IsAsciiDigit)));
        Assert.Equal(numbers.Distinct(StringComparer.Ordinal).Count(), numbers.Length);
    }

    [Fact]
    public void Shipped_fonts_carry_their_licence()
    {
        var folders = RepositoryFiles
            .All.Where(p => p.EndsWith(".ttf", StringComparison.Ordinal))
            .Select(p => Path.GetDirectoryName(p)!.Replace('\\', '/'))
            .Distinct(StringComparer.Ordinal)
            .ToArray();

        Assert.NotEmpty(folders);
        None(folders.Where(f => !RepositoryFiles.All.Contains($"{f}/LICENSE.txt", StringComparer.Ordinal)));
    }

    private static string NamespaceOf(string path)
    {
        var folders = Path.GetDirectoryName(path)!.Replace('\\', '/').Split('/');
        var names = folders[0] == "src" ? folders[1..] : ["Simulator", .. folders[1..]];
        return names[0] == "LoadTest" ? string.Join('.', names) : $"LoadTest.{string.Join('.', names)}";
    }

    private static bool IsWrittenByHand(string path) =>
        Path.GetFileName(path) is not ("packages.lock.json" or "dotnet-tools.json" or "LoadTest.sln");

    private static IEnumerable<string> Form(string path)
    {
        var bytes = File.ReadAllBytes(Path.Combine(RepositoryFiles.Root, path));
        if (bytes.AsSpan().StartsWith(Encoding.UTF8.Preamble))
            yield return "byte order mark";
        if (bytes.Contains((byte)'\r'))
            yield return "carriage return";
        if (bytes.Length > 0 && bytes[^1] != '\n')
            yield return "no line end at the end";
        if (!IsUtf8(bytes))
            yield return "not UTF-8";
        if (path.EndsWith(".cs", StringComparison.Ordinal) && bytes.Contains((byte)'\t'))
            yield return "tab";
    }

    private static bool IsUtf8(byte[] bytes)
    {
        try
        {
            _ = new UTF8Encoding(false, throwOnInvalidBytes: true).GetCharCount(bytes);
            return true;
        }
        catch (DecoderFallbackException)
        {
            return false;
        }
    }

    [GeneratedRegex(@"^namespace (?<name>[\w.]+);", RegexOptions.Multiline | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Namespace();

    [GeneratedRegex("#pragma warning disable|SuppressMessage|ReSharper disable", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Suppression();

    [GeneratedRegex(
        @"\b(class|record|struct|interface|enum) (struct )?(?<name>\w*(Manager|Helpers?|Utils?|Utilities|Service))\b",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex EmptyNoun();

    [GeneratedRegex(@"(?<![\w.])/(root|home|tmp|work|Users)/\w+|\b[A-Z]:\\Users\b", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex MachinePath();

    [GeneratedRegex(@"\{[^{}""]*(?<!finding)\.Message\}", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex MessageInSentence();

    [GeneratedRegex(
        @"\{[\w.?!()]*(Detail|Message|Words|Means|Reason|Text)\}\.(?!\w)",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex StopBehindText();

    [GeneratedRegex(
        @"\{[^{}""]*:([GER]\d*|[0#.]*E[-+]?0+)\}|ToString\(\$?""[GER]",
        RegexOptions.ExplicitCapture | RegexOptions.IgnoreCase,
        1000
    )]
    private static partial Regex ExponentFormat();

    [GeneratedRegex(
        @"\.(Words|Detail|Said|Reason|Remark|Title)\??\.(StartsWith|EndsWith|Contains|IndexOf)\(|\.Kind == """,
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex WordsReadBack();
}
