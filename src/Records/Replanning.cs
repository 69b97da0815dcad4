using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Records;

/// <summary>Works the plan out again from the files a journal embeds.</summary>
internal static class Replanning
{
    /// <summary>The plan; null with the reasons when the files do not give one.</summary>
    public static RunPlan? Plan(IReadOnlyList<EmbeddedFile> files, List<string> trouble)
    {
        var profile = Read(files, FileRole.Profile, trouble, f => ProfileReader.Read(f.Name, f.Bytes.AsMemory()));
        var nameplate = Read(files, FileRole.Nameplate, trouble, f => NameplateReader.Read(f.Name, f.Bytes.AsMemory()));
        var bench = Read(
            files,
            FileRole.Bench,
            trouble,
            f => BenchReader.Read(f.Name, f.Bytes.AsMemory(), name => Definition(files, name))
        );
        return profile is null || nameplate is null || bench is null ? null : Planner.Plan(profile, nameplate, bench);
    }

    private static T? Read<T>(
        IReadOnlyList<EmbeddedFile> files,
        FileRole role,
        List<string> trouble,
        Func<EmbeddedFile, Read<T>> read
    )
        where T : class
    {
        var of = files.Where(f => f.Role == role).ToArray();
        if (of.Length != 1)
        {
            trouble.Add(
                $"The journal embeds {of.Length} files in the role of {role.ToString().ToLowerInvariant()}; exactly one is needed to work the plan out again."
            );
            return null;
        }
        var result = read(of[0]);
        trouble.AddRange(result.Findings.Where(f => f.Severity == Severity.Error).Select(f => f.ToString()));
        return result.Value;
    }

    private static ReadOnlyMemory<byte>? Definition(IReadOnlyList<EmbeddedFile> files, string name) =>
        files.FirstOrDefault(f => f.Role == FileRole.Definition && f.Name == name)?.Bytes.AsMemory();
}
