using LoadTest.Sequencer.Profiles;

namespace LoadTest.SequencerTests;

public sealed class ProfileFilesTests
{
    public static TheoryData<string> Shipped => new(Tree.Shipped());

    [Theory]
    [MemberData(nameof(Shipped))]
    public void Every_shipped_file_is_read_without_a_finding(string file)
    {
        var check = AnyFile.Check(file, Tree.Bytes(file), Tree.Definition);
        Assert.NotNull(check.Kind);
        Assert.Empty(check.Findings.Select(f => f.ToString()));
    }
}
