using LoadTest.Records.Writing;
using LoadTest.RecordsTests.Runs;

namespace LoadTest.RecordsTests;

public sealed class RecordForLookingAtTests
{
    [Fact]
    public void Record_for_looking_at()
    {
        var folder = Environment.GetEnvironmentVariable("LOADTEST_PICTURES");
        Assert.SkipUnless(folder is not null, "set LOADTEST_PICTURES to a folder to keep the record");
        File.WriteAllBytes(Path.Combine(folder!, "record.json"), RecordJson.Write(SomeRun.Record()));
    }
}
