using System.Collections.Immutable;
using LoadTest.Records;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Running;

/// <summary>The files a run depends on, with the bytes that go into its journal.</summary>
/// <param name="Plan">The plan they give; null while a file has an error.</param>
/// <param name="Embedded">Role, name and bytes of each file, in the order they are embedded.</param>
/// <param name="Findings">Everything the readers and the planner have to say.</param>
internal sealed record RunFiles(
    RunPlan? Plan,
    ImmutableArray<(FileRole Role, string Name, ImmutableArray<byte> Bytes)> Embedded,
    ImmutableArray<Finding> Findings
)
{
    /// <summary>Whether a run may be made of them.</summary>
    public bool IsRunnable => Plan is { IsRunnable: true } && !Findings.Any(f => f.Severity == Severity.Error);

    /// <summary>The same files with the world of a simulated bench among them.</summary>
    public RunFiles With(Worlds world) =>
        this with
        {
            Embedded = Embedded.Add((FileRole.World, world.Name, [.. world.Bytes])),
        };

    /// <summary>Reads profile, nameplate and bench, with the definitions the bench names, and plans.</summary>
    /// <exception cref="IOException">A file named here cannot be read; what a bench names is a finding instead.</exception>
    public static RunFiles Read(string profile, string nameplate, string bench) =>
        Read(profile, RegularFile.Head(profile, FileText.MostBytes), nameplate, bench);

    /// <summary>The same with a profile that is no file.</summary>
    /// <exception cref="IOException">A file named here cannot be read.</exception>
    public static RunFiles Read(string profile, ReadOnlyMemory<byte> profileBytes, string nameplate, string bench)
    {
        var embedded = ImmutableArray.CreateBuilder<(FileRole, string, ImmutableArray<byte>)>();
        ReadOnlyMemory<byte> Take(FileRole role, string path, ReadOnlyMemory<byte> bytes)
        {
            embedded.Add((role, Path.GetFileName(path), [.. bytes.Span]));
            return bytes;
        }
        var readProfile = ProfileReader.Read(profile, Take(FileRole.Profile, profile, profileBytes));
        var readNameplate = NameplateReader.Read(
            nameplate,
            Take(FileRole.Nameplate, nameplate, RegularFile.Head(nameplate, FileText.MostBytes))
        );
        var readBench = BenchReader.Read(
            bench,
            Take(FileRole.Bench, bench, RegularFile.Head(bench, FileText.MostBytes)),
            name =>
            {
                if (ProfileFolder.Resolve(bench, name) is not { } path)
                    return null;
                var bytes = RegularFile.Head(path, FileText.MostBytes);
                if (!embedded.Any(e => e.Item1 == FileRole.Definition && e.Item2 == name))
                    embedded.Add((FileRole.Definition, name, [.. bytes]));
                return new ReadOnlyMemory<byte>(bytes);
            }
        );
        ImmutableArray<Finding> findings = [.. readProfile.Findings, .. readNameplate.Findings, .. readBench.Findings];
        if (readProfile.Value is not { } p || readNameplate.Value is not { } n || readBench.Value is not { } b)
            return new RunFiles(null, embedded.DrainToImmutable(), findings);
        var plan = Planner.Plan(p, n, b);
        return new RunFiles(plan, embedded.DrainToImmutable(), [.. findings, .. plan.Findings]);
    }
}
