using System.Collections.Immutable;
using LoadTest.Running;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Text;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Hunting;

/// <summary>A short plan on one bench, worked out once and shared by every seed that draws it.</summary>
/// <param name="Name">Profile and bench.</param>
/// <param name="Files">Files and plan.</param>
/// <param name="World">The bench's world.</param>
/// <param name="IsLong">Whether it takes minutes of virtual time rather than seconds.</param>
internal sealed record HuntPlan(string Name, RunFiles Files, WorldFile World, bool IsLong)
{
    /// <summary>Volts above which every profile of the hunt trips.</summary>
    public const double MostVolts = 85;

    /// <summary>Amperes above which every profile of the hunt trips: 115 % of the 300 A the nameplate gives.</summary>
    public const double MostAmperes = 345;

    private const string Nameplate = "demo-300.yaml";
    private const string Verification = "output-verification.yaml";
    private static readonly string[] Profiles = ["current.yaml", "voltage.yaml", "adjust.yaml"];
    private static readonly string[] Benches = ["demo.yaml", "demo-modbus-tcp.yaml"];

    /// <summary>The plan itself.</summary>
    public RunPlan Plan => Files.Plan!;

    /// <summary>Each profile of the hunt on each shipped bench, and a whole verification.</summary>
    /// <exception cref="InvalidOperationException">One of them cannot be run: the program was built wrong.</exception>
    public static HuntPlans All() =>
        new(
            [.. Profiles.SelectMany(profile => Benches.Select(bench => Make(profile, bench, Embedded(profile))))],
            Make(Verification, Benches[0], File.ReadAllBytes(ProfileFolder.Find(Verification, "")))
        );

    private static HuntPlan Make(string profile, string bench, byte[] bytes)
    {
        var path = ProfileFolder.Find(bench, "benches");
        var files = RunFiles.Read(profile, bytes, ProfileFolder.Find(Nameplate, "nameplates"), path);
        if (files is not { IsRunnable: true, Plan: { } plan })
        {
            var errors = files.Findings.Where(f => f.Severity == Severity.Error).Select(f => f.Message);
            throw new InvalidOperationException($"Hunt: {profile} on {bench}: {string.Join(" ", errors)}");
        }
        var world = Worlds.Of(plan.Bench, path, null);
        return new HuntPlan(
            $"{Path.GetFileNameWithoutExtension(profile)} on {Path.GetFileNameWithoutExtension(bench)}",
            files.With(world),
            world.World,
            profile == Verification
        );
    }

    private static byte[] Embedded(string profile)
    {
        using var stream =
            typeof(HuntPlan).Assembly.GetManifestResourceStream($"hunt/{profile}")
            ?? throw new InvalidOperationException($"Hunt: the program was built without {profile}.");
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}

/// <summary>The plans of a hunt.</summary>
/// <param name="Short">What nearly every seed draws from.</param>
/// <param name="Long">What one seed in a thousand runs.</param>
internal sealed record HuntPlans(ImmutableArray<HuntPlan> Short, HuntPlan Long);
