using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.SequencerTests;

/// <summary>The broken files of tests/data/broken, each with everything that is to be said of it.</summary>
public sealed class ProfileBrokenFilesTests
{
    private const string Folder = "tests/data/broken";

    /// <summary>Run with LOADTEST_WRITE_EXPECTED=1 to write the expectations anew; then read every one of them.</summary>
    [Fact]
    public void Every_broken_file_is_refused_with_exactly_the_findings_expected()
    {
        var differences = new List<string>();
        var files = Directory
            .EnumerateFiles(Path.Combine(Tree.Root, Folder), "*.yaml", SearchOption.AllDirectories)
            .Order(StringComparer.Ordinal)
            .ToList();
        foreach (var path in files)
        {
            var name = Path.GetRelativePath(Path.Combine(Tree.Root, Folder), path).Replace('\\', '/');
            var found = Lines(name, File.ReadAllBytes(path));
            var expectedPath = Path.ChangeExtension(path, ".expected");
            if (Environment.GetEnvironmentVariable("LOADTEST_WRITE_EXPECTED") == "1")
            {
                File.WriteAllText(expectedPath, found);
            }
            var expected = File.Exists(expectedPath) ? File.ReadAllText(expectedPath) : "(no .expected file)\n";
            if (expected != found)
            {
                differences.Add($"{name}\n  expected:\n{expected}  found:\n{found}");
            }
        }
        Assert.True(files.Count >= 60, $"{files.Count} broken files; at least 60 belong there.");
        Assert.True(differences.Count == 0, string.Join('\n', differences));
    }

    [Fact]
    public void Every_broken_file_has_a_finding_with_a_place_and_none_is_half_accepted()
    {
        foreach (
            var path in Directory.EnumerateFiles(Path.Combine(Tree.Root, Folder), "*.yaml", SearchOption.AllDirectories)
        )
        {
            var bytes = File.ReadAllBytes(path);
            var check = AnyFile.Check("f", bytes, Tree.Definition);
            Assert.True(check.Findings.Length > 0, path);
            Assert.Equal(check.IsSound, IsAccepted(check.Kind, bytes));
        }
    }

    private static bool IsAccepted(FileKind? kind, byte[] bytes) =>
        kind switch
        {
            FileKind.Profile => ProfileReader.Read("f", bytes).Value is not null,
            FileKind.Nameplate => Sequencer.Benches.NameplateReader.Read("f", bytes).Value is not null,
            FileKind.Bench => Sequencer.Benches.BenchReader.Read("f", bytes, Tree.Definition).Value is not null,
            FileKind.Instrument => Sequencer.Benches.DefinitionReader.Read("f", bytes).Value is not null,
            _ => false,
        };

    private static string Lines(string name, byte[] bytes) =>
        string.Concat(AnyFile.Check(name, bytes, Tree.Definition).Findings.Select(Line));

    private static string Line(Finding finding) =>
        $"{finding.Place.Line},{finding.Place.Column} {finding.Severity.ToString().ToLowerInvariant()} {finding.Message}\n";
}
