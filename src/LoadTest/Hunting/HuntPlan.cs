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
internal sealed record HuntPlan(string Name, RunFiles Files, WorldFile World)
{
    /// <summary>Volts above which every profile of the hunt trips.</summary>
    public const double MostVolts = 85;

    /// <summary>Amperes above which every profile of the hunt trips: 115 % of the 300 A the nameplate gives.</summary>
    public const double MostAmperes = 345;

    private const string Nameplate = "demo-300.yaml";
    private static readonly string[] Profiles = ["current.yaml", "voltage.yaml", "adjust.yaml"];
    private static readonly string[] Benches = ["demo.yaml", "demo-modbus-tcp.yaml"];

    /// <summary>The plan itself.</summary>
    public RunPlan Plan => Files.Plan!;

    /// <summary>Each profile of the hunt on each shipped bench.</summary>
    /// <exception cref="InvalidOperationException">One of them cannot be run: the program was built wrong.</exception>
    public static ImmutableArray<HuntPlan> All() =>
        [.. Profiles.SelectMany(profile => Benches.Select(bench => Make(profile, bench)))];

    private static HuntPlan Make(string profile, string bench)
    {
        var path = ProfileFolder.Find(bench, "benches");
        var files = RunFiles.Read(profile, Embedded(profile), ProfileFolder.Find(Nameplate, "nameplates"), path);
        if (files is not { IsRunnable: true, Plan: { } plan })
        {
            var errors = files.Findings.Where(f => f.Severity == Severity.Error).Select(f => f.Message);
            throw new InvalidOperationException($"Hunt: {profile} on {bench}: {string.Join(" ", errors)}");
        }
        var world = Worlds.Of(plan.Bench, path, null);
        return new HuntPlan(
            $"{Path.GetFileNameWithoutExtension(profile)} on {Path.GetFileNameWithoutExtension(bench)}",
            files.With(world),
            world.World
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
