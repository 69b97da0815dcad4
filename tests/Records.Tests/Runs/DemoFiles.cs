using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;

namespace LoadTest.RecordsTests.Runs;

/// <summary>The shipped demo files as a run embeds them.</summary>
internal static class DemoFiles
{
    private static readonly string Profiles = Path.Combine(AppContext.BaseDirectory, "profiles");

    public static IReadOnlyList<FileEmbedded> Embedded(string profile = "output-verification.yaml")
    {
        FileEmbedded File(FileRole role, string name) =>
            new(TimeSpan.FromSeconds(1), role, name, [.. System.IO.File.ReadAllBytes(Path.Combine(Profiles, name))]);
        return
        [
            File(FileRole.Profile, profile),
            File(FileRole.Nameplate, "nameplates/demo-300.yaml"),
            File(FileRole.Bench, "benches/demo.yaml"),
            .. Bench
                .Instruments.Select(i => i.DefinitionFile)
                .Distinct(StringComparer.Ordinal)
                .Select(d => File(FileRole.Definition, d)),
        ];
    }

    public static RunPlan Plan(string profile = "output-verification.yaml") =>
        Planner.Plan(
            ProfileReader.Read(profile, Bytes(profile)).Value!,
            NameplateReader.Read("nameplates/demo-300.yaml", Bytes("nameplates/demo-300.yaml")).Value!,
            Bench
        );

    private static Bench Bench =>
        BenchReader.Read("benches/demo.yaml", Bytes("benches/demo.yaml"), name => Bytes(name)).Value!;

    private static ReadOnlyMemory<byte> Bytes(string name) => File.ReadAllBytes(Path.Combine(Profiles, name));
}
