using LoadTest.Records;

namespace LoadTest.RecordsTests;

public sealed class RunFolderTests
{
    private static string Root() => Directory.CreateTempSubdirectory("runs").FullName;

    [Fact]
    public void Folder_is_created_once_and_held_while_it_is_written()
    {
        var root = Path.Combine(Root(), "new");
        using (var folder = RunFolder.Create(root, "2026-11-25-01"))
        {
            File.WriteAllText(folder.Journal, "x");
            Assert.Throws<IOException>(() => RunFolder.Create(root, "2026-11-25-01"));
            Assert.Throws<IOException>(() => RunFolder.Open(folder.Path));
        }

        using var again = RunFolder.Open(Path.Combine(root, "2026-11-25-01"));
        Assert.Equal("x", File.ReadAllText(again.Journal));
    }

    [Theory]
    [InlineData("")]
    [InlineData("..")]
    [InlineData("../up")]
    [InlineData("a/b")]
    [InlineData("a\\b")]
    [InlineData("a b")]
    [InlineData("Ω")]
    public void Id_that_is_no_plain_name_is_refused(string id) =>
        Assert.Throws<ArgumentException>(() => RunFolder.Create(Root(), id));

    [Fact]
    public void Folder_without_a_journal_is_not_opened() => Assert.Throws<IOException>(() => RunFolder.Open(Root()));

    [Fact]
    public void Whole_file_replaces_the_one_before()
    {
        var path = Path.Combine(Root(), "record.json");
        RunFolder.WriteWhole(path, "one"u8);
        RunFolder.WriteWhole(path, "two"u8);

        Assert.Equal("two", File.ReadAllText(path));
        Assert.Single(Directory.GetFiles(Path.GetDirectoryName(path)!));
    }
}
