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
/// <param name="Limit">Longest a run of it may take, virtual; the longest that ends by itself takes a third of it.</param>
internal sealed record HuntPlan(string Name, RunFiles Files, WorldFile World, TimeSpan Limit)
{
    /// <summary>Volts above which every profile of the hunt trips.</summary>
    public const double MostVolts = 85;

    /// <summary>Amperes above which every profile of the hunt trips: 115 % of the 300 A the nameplate gives.</summary>
    public const double MostAmperes = 345;

    /// <summary>The instrument with the output-enable relay, on the bench that has one.</summary>
    public const string Relay = "relays-1";

    private const string Nameplate = "demo-300.yaml";
    private const string Verification = "output-verification.yaml";
    private const string Workshop = "workshop.yaml";
    private const string WithRelay = "demo-relay.yaml";
    private static readonly string[] Profiles = ["current.yaml", "voltage.yaml", "adjust.yaml"];
    private static readonly string[] Benches = ["demo.yaml", "demo-modbus-tcp.yaml"];
    private static readonly string[] OfWorkshop = ["sudden.yaml", "auxiliary.yaml"];
    private static readonly TimeSpan ShortLimit = TimeSpan.FromMinutes(5);
    private static readonly TimeSpan WarmLimit = TimeSpan.FromMinutes(20);
    private static readonly TimeSpan LongLimit = TimeSpan.FromHours(3);

    /// <summary>The plan itself.</summary>
    public RunPlan Plan => Files.Plan!;

    /// <summary>Each profile of the hunt on its benches, and a whole verification.</summary>
    /// <exception cref="InvalidOperationException">One of them cannot be run: the program was built wrong.</exception>
    public static HuntPlans All() =>
        new(
            [
                .. Profiles.SelectMany(profile => Benches.Select(bench => Make(profile, bench, ShortLimit))),
                Make(Profiles[0], WithRelay, ShortLimit),
                .. OfWorkshop.Select(profile => Make(profile, Workshop, ShortLimit)),
            ],
            Make("warm.yaml", Workshop, WarmLimit),
            [
                Make(Verification, Benches[0], LongLimit, File.ReadAllBytes(ProfileFolder.Find(Verification, ""))),
                Make("duty.yaml", Workshop, LongLimit),
            ]
        );

    private static HuntPlan Make(string profile, string bench, TimeSpan limit) =>
        Make(profile, bench, limit, Embedded(profile));

    private static HuntPlan Make(string profile, string bench, TimeSpan limit, byte[] bytes)
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
            OnLines(world.World, plan),
            limit
        );
    }

    /// <summary>The world with the meters the bench reads and no others: only what is on a wire can go wrong.</summary>
    private static WorldFile OnLines(WorldFile world, RunPlan plan) =>
        world with
        {
            Meters = [.. world.Meters.Where(m => plan.Bench.Instruments.Any(i => i.Id == m.Name))],
        };

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
/// <param name="Short">Half a minute each: what nearly every seed draws from.</param>
/// <param name="Warm">A minute of a heat run and its cool-down: one seed in a hundred.</param>
/// <param name="Long">Seventeen minutes and more: one seed in a thousand draws from them.</param>
internal sealed record HuntPlans(ImmutableArray<HuntPlan> Short, HuntPlan Warm, ImmutableArray<HuntPlan> Long)
{
    private const int Every = 1000;
    private const int WarmOf = 10;

    /// <summary>Draws one.</summary>
    public HuntPlan Of(Draw draw) =>
        draw.Below(Every) switch
        {
            0 => draw.Of(Long),
            <= WarmOf => Warm,
            _ => draw.Of(Short),
        };
}
