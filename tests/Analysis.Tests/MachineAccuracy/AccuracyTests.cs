using LoadTest.Analysis;
using LoadTest.Analysis.Decision;
using LoadTest.Analysis.MachineAccuracy;

namespace LoadTest.AnalysisTests.MachineAccuracy;

public class AccuracyTests
{
    private static readonly AccuracyGrades Grades = AccuracyGrades.FromMemory();

    private static AccuracyStatement Judge(params AccuracyPoint[] points) =>
        AccuracyStatement.Of(points, 400, "standard", Grades, DecisionRule.GuardBandU);

    private static AccuracyPoint Point(double set, double indicated, double actual) =>
        new(new(set, 0), new Estimate(indicated, 0.1), new(actual, 0.2));

    [Fact]
    public void Standard_grade_allows_what_the_standard_does()
    {
        // IEC 60974-1 and 60974-14 from memory: ± 10 % of true value from 25 % of maximum, ± 2.5 % of maximum below; indication
        // ± 2.5 % of maximum.
        var found = Judge(Point(40, 40, 41), Point(200, 190, 184), Point(400, 385, 390));
        Assert.Equal(OverallVerdict.Pass, found.Overall.Verdict);
        Assert.Equal(10, found.Judgements[0].Judgement.Limit.Upper, 9);
        Assert.Equal(18.4, found.Judgements[1].Judgement.Limit.Upper, 9);
        Assert.Equal(16, found.Judgements[1].Error.Value, 9);
        Assert.Equal(10, found.Judgements[4].Judgement.Limit.Upper, 9);
        Assert.All(found.Status, s => Assert.Contains("from memory", s, StringComparison.Ordinal));
    }

    [Fact]
    public void One_point_outside_fails_the_machine_and_is_named()
    {
        var found = Judge(Point(100, 100, 100), Point(200, 200, 170));
        Assert.Equal(OverallVerdict.Fail, found.Overall.Verdict);
        Assert.Equal(["set against actual at point 2", "indicated against actual at point 2"], found.Overall.Because);
    }

    [Fact]
    public void Near_the_limit_the_meters_cannot_decide()
    {
        // 200 set, 182 actual: error 18.0, allowed 18.2, U = 0.4.
        Assert.Equal(OverallVerdict.Undecided, Judge(Point(200, 182, 182)).Overall.Verdict);
    }

    [Fact]
    public void A_grade_without_a_row_leaves_the_point_not_tested_and_an_unknown_grade_is_refused()
    {
        Assert.Equal(OverallVerdict.Incomplete, Judge(Point(440, 440, 440)).Overall.Verdict);
        Assert.Throws<ArgumentException>(() =>
            AccuracyStatement.Of([Point(1, 1, 1)], 400, "best", Grades, DecisionRule.GuardBandU)
        );
        Assert.Throws<ArgumentException>(() => Judge());
        Assert.Throws<ArgumentException>(() => Judge(Point(200, 200, double.NaN)));
    }

    [Theory]
    [InlineData("grade,quantity\n", 1)]
    [InlineData("grade,quantity,from,to,of,limit,status\nx,set,0,1,actual,ten,mine\n", 2)]
    [InlineData("grade,quantity,from,to,of,limit,status\nx,meter,0,1,actual,0.1,mine\n", 2)]
    [InlineData("grade,quantity,from,to,of,limit,status\nx,set,1,0,actual,0.1,mine\n", 2)]
    [InlineData("grade,quantity,from,to,of,limit,status\nx,set,0,1,actual,0.1,\n", 2)]
    public void A_broken_table_is_named_with_its_line(string text, int line)
    {
        var error = Assert.Throws<FormatException>(() => AccuracyGrades.Parse(text, "mine.csv"));
        Assert.StartsWith($"mine.csv({line})", error.Message, StringComparison.Ordinal);
    }
}
