using LoadTest.Reports;

namespace LoadTest.SystemTests.Reports;

public sealed class ReportForLookingAtTests
{
    [Fact]
    public void Report_and_pictures_for_looking_at()
    {
        var folder = Environment.GetEnvironmentVariable("LOADTEST_PICTURES");
        Assert.SkipUnless(folder is not null, "set LOADTEST_PICTURES to a folder to keep report and pictures");
        var record = SomeReport.Record();
        File.WriteAllText(Path.Combine(folder!, "report.html"), SomeReport.Page(record));
        File.WriteAllText(Path.Combine(folder!, "tripped.html"), SomeReport.Page(SomeReport.Record(tripAtStep: 22)));
        foreach (var picture in RunPlots.Of(record))
            File.WriteAllText(Path.Combine(folder!, picture.Name + ".svg"), picture.Svg);
    }
}
