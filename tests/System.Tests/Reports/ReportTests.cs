using System.Text;
using System.Text.RegularExpressions;
using CsCheck;
using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;
using LoadTest.Reports;
using LoadTest.Sequencer.Journal;

namespace LoadTest.SystemTests.Reports;

public sealed partial class ReportTests
{
    private static readonly string[] Hostile =
    [
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "'><svg onload=alert(1)>",
        "</style><script>alert(1)</script>",
        "</title><script>alert(1)</script>",
        "<!-- ",
        "-->",
        "]]>",
        "&lt;script&gt;",
        "<iframe srcdoc='<script>alert(1)</script>'>",
        "</td></tr></table><h1>PASS</h1>",
        "<style>*{display:none}</style>",
        "\u202Eevil\u202C",
        "a\0b",
        "\uFEFF<b>",
        "${7*7}{{7*7}}",
    ];

    [Fact]
    public void Hostile_names_stay_text_wherever_they_stand()
    {
        // Without pictures: no name a person types stands in them, and the tests of the plots hold those that do.
        static string Page(string name) => Report.Write(SomeReport.Record(operatorName: name), []);
        var expected = Tags(Page("X"));
        foreach (var name in Hostile)
        {
            Assert.Equal(expected, Tags(Page(name)));
        }
    }

    [Fact]
    public void Any_mixture_of_hostile_pieces_is_encoded() =>
        Gen.Int[0, Hostile.Length - 1]
            .Select(i => Hostile[i])
            .Array[1, 6]
            .Select(string.Concat)
            .Sample(
                text =>
                {
                    var page = new HtmlText().Element("p", text).ToString();
                    Assert.Equal(["<p>", "</p>"], Tags(page));
                    Assert.DoesNotContain('"', page);
                },
                iter: 500
            );

    [Theory]
    [InlineData("</style><script>alert(1)</script>")]
    [InlineData("\"}body{display:none}")]
    [InlineData("\\")]
    [InlineData("a\nb")]
    public void Run_id_cannot_leave_the_style_sheet(string id)
    {
        var sheet = ReportStyle.For(id, "");
        var plain = ReportStyle.For("X", "");

        Assert.DoesNotContain('<', sheet);
        Assert.Equal(
            plain.Count(c => c is '"' or '}' or '{' or '\n'),
            sheet.Count(c => c is '"' or '}' or '{' or '\n')
        );
    }

    [Fact]
    public void Page_needs_nothing_from_anywhere_and_runs_nothing()
    {
        var page = SomeReport.Page(SomeReport.Record());
        var attributes = Attribute().Matches(page).Select(m => m.Value).Distinct(StringComparer.Ordinal);

        Assert.DoesNotContain("<script", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<link", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("@import", page, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("javascript:", page, StringComparison.OrdinalIgnoreCase);
        // Within pictures only places inside the same page are referred to.
        Assert.All(attributes, a => Assert.Contains("=\"#", a, StringComparison.Ordinal));
        Assert.DoesNotContain(Url().Matches(page), m => !m.Groups["to"].Value.StartsWith('#'));
    }

    [Fact]
    public void Same_record_gives_the_same_page() =>
        Assert.Equal(SomeReport.Page(SomeReport.Record()), SomeReport.Page(SomeReport.Record()));

    [Fact]
    public void Simulated_bench_is_marked_and_a_real_one_is_not()
    {
        Assert.Contains("class=\"mark\"", SomeReport.Page(SomeReport.Record()), StringComparison.Ordinal);
        var real = SomeReport.Page(SomeReport.Record(isSimulated: false));
        Assert.DoesNotContain("class=\"mark\"", real, StringComparison.Ordinal);
        Assert.DoesNotContain("<body class", real, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null, "the journal does not say by what")]
    [InlineData(SimulationProof.InMemory, "in the memory of the program")]
    [InlineData(SimulationProof.OneProcess, "a program written to deceive could do both")]
    [InlineData(SimulationProof.SecretAlone, "the system did not say which process that was")]
    public void Head_says_what_the_proof_of_a_simulated_bench_rests_on(SimulationProof? proof, string words)
    {
        var record = SomeReport.Record();
        var page = Report.Write(record with { Opened = record.Opened with { Proof = proof } }, []);
        var head = page[..page.IndexOf("<h2", StringComparison.Ordinal)];
        Assert.Contains("simulated because", head, StringComparison.Ordinal);
        Assert.Contains(words, System.Net.WebUtility.HtmlDecode(head), StringComparison.Ordinal);
        var real = Report.Write(SomeReport.Record(isSimulated: false), []);
        Assert.DoesNotContain("simulated because", real, StringComparison.Ordinal);
    }

    /// <summary>From the profile's own bytes in the journal to the page: the document a limit is taken from is named beside its verdict.</summary>
    [Fact]
    public void Document_a_limit_is_taken_from_stands_in_record_and_report()
    {
        const string Written = "expect: { output voltage: 62 V to 80 V }";
        var files = DemoFiles
            .Embedded()
            .Select(f =>
                f.Role == FileRole.Profile
                    ? f with
                    {
                        Bytes =
                        [
                            .. Encoding.UTF8.GetBytes(
                                Encoding
                                    .UTF8.GetString(f.Bytes.AsSpan())
                                    .Replace(
                                        Written,
                                        Written.Replace(" }", ", from: shop standard WS-7 }", StringComparison.Ordinal),
                                        StringComparison.Ordinal
                                    )
                            ),
                        ],
                    }
                    : f
            )
            .ToArray();
        var record = SomeReport.Of(FakeRun.Entries(DemoFiles.Plan(), new FakeUnit(-0.018), files: files));
        Assert.Contains(
            "limit of: shop standard WS-7, by the profile<",
            Report.Write(record, []),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "\"from\": \"shop standard WS-7, by the profile\"",
            Encoding.UTF8.GetString(RecordJson.Write(record)),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Verdicts_stand_before_measurements_and_every_table_repeats_its_head()
    {
        var page = SomeReport.Page(SomeReport.Record());

        Assert.True(
            page.IndexOf("class=\"verdict", StringComparison.Ordinal)
                < page.IndexOf("<h2>Measurements", StringComparison.Ordinal)
        );
        Assert.Equal(Count(page, "<table"), Count(page, "<thead>"));
        Assert.Contains("Not issued under accreditation", page, StringComparison.Ordinal);
        Assert.Contains("End of test report", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Every_number_of_a_result_is_the_records_own_after_rounding()
    {
        var record = SomeReport.Record();
        var page = SomeReport.Page(record);

        foreach (var judged in record.Judged.Where(j => j.Step is null && j.Judgement.Estimate is not null))
            Assert.Contains(
                ReportVerdicts.Result(judged),
                System.Net.WebUtility.HtmlDecode(page),
                StringComparison.Ordinal
            );
    }

    /// <summary>What stands once above a table is not repeated in each of its lines, and a line that differs brings the column back.</summary>
    [Fact]
    public void What_is_the_same_in_every_line_is_said_once()
    {
        var record = SomeReport.Record();
        var page = SomeReport.Page(record);
        Assert.Contains($"All {record.Cautions.Length} by R. Ohm, one by one.", page, StringComparison.Ordinal);
        Assert.Contains($"All {record.Gate.Length} checks passed.", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<td>passed</td>", page, StringComparison.Ordinal);

        var other = record with
        {
            Cautions = record.Cautions.SetItem(0, record.Cautions[0] with { Who = "A. Nother" }),
            Gate = record.Gate.SetItem(0, record.Gate[0] with { Passed = false }),
        };
        var both = Report.Write(other, []);
        Assert.Contains("<td>A. Nother</td>", both, StringComparison.Ordinal);
        Assert.Contains("<td>REFUSED</td>", both, StringComparison.Ordinal);
        Assert.Contains("<td>passed</td>", both, StringComparison.Ordinal);
    }

    /// <summary>Every budget line that carries something is on the page, however the budgets are put side by side.</summary>
    [Fact]
    public void No_contribution_is_lost_where_budgets_stand_side_by_side()
    {
        var record = SomeReport.Record();
        var page = SomeReport.Page(record);
        var shown = record
            .Groups.SelectMany(g => g.Judged)
            .Where(j => j.Budget is not null && j.Step is null)
            .ToArray();
        Assert.True(shown.Length > 3);
        foreach (var judged in shown)
        {
            Assert.Contains($"{judged.Name}", System.Net.WebUtility.HtmlDecode(page), StringComparison.Ordinal);
            foreach (var line in judged.Budget!.Lines.Where(l => l.Contribution > 0))
                Assert.Contains(
                    $"<td>{line.Input.Name}</td>",
                    System.Net.WebUtility.HtmlDecode(page),
                    StringComparison.Ordinal
                );
        }
        Assert.Contains("(2) Combined u = ", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Tripped_run_says_so_and_shows_no_verdict_it_did_not_earn()
    {
        var page = SomeReport.Page(SomeReport.Record(tripAtStep: 6));

        Assert.Contains("The tool removed the load (VOLTS)", page, StringComparison.Ordinal);
        Assert.Contains("not tested", page, StringComparison.Ordinal);
        Assert.DoesNotContain("class=\"verdict pass\"", page, StringComparison.Ordinal);
    }

    [Fact]
    public void As_left_is_said_of_the_verdict_only_where_every_failure_as_found_was_replaced()
    {
        Assert.Contains("<span>as left</span>", SomeReport.Page(SomeReport.Record()), StringComparison.Ordinal);
        Assert.DoesNotContain(
            "<span>as left</span>",
            SomeReport.Page(SomeReport.Record(tripAtStep: 22)),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain(
            "<span>as left</span>",
            SomeReport.Page(SomeReport.Record(gain: 0)),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Points_that_were_not_reached_share_a_sentence_for_each_limit()
    {
        var record = SomeReport.Record(tripAtStep: 6);
        var limits = record
            .Groups.SelectMany(g =>
                g.Judged.Where(j => j.Judgement.Words.Contains("did not measure this point", StringComparison.Ordinal))
                    .Select(j => (g.Group.Number, j.Measurand))
            )
            .ToArray();

        Assert.True(limits.Length > limits.Distinct().Count());
        Assert.Equal(limits.Distinct().Count(), Count(SomeReport.Page(record), "did not measure this point"));
    }

    private static int Count(string page, string what) => page.Split(what).Length - 1;

    private static string[] Tags(string page) =>
        [.. Tag().Matches(page).Select(m => AriaLabel().Replace(m.Value, "")).Where(t => t.Length > 0)];

    [GeneratedRegex("<[^>]*>", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex Tag();

    [GeneratedRegex(" aria-label=\"[^\"]*\"", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex AriaLabel();

    [GeneratedRegex("\\b(?:src|href|xlink:href|action|data|on[a-z]+)=\"[^\"]*\"", RegexOptions.CultureInvariant, 1000)]
    private static partial Regex Attribute();

    [GeneratedRegex("url\\((?<to>[^)]*)\\)", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Url();
}
