using System.Collections.Immutable;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Hunting;

/// <summary>Which mishaps a seed brings: none to three, of any kind, at any time, also while the load is being removed.</summary>
internal static class MishapDraw
{
    private const int MostElements = 8;

    // What nothing of a run answers to would be a seed without a mishap.
    private static readonly string[] BenchFaults =
    [
        "feedback-lead-open",
        "shunt-ratio-off",
        "diode-open",
        "phase-lost",
        "build-up-lost",
        "source-overvoltage",
        "engine-stall",
        "loose-lug",
        "element-stuck-closed",
        "element-stuck-open",
        "fan-failed",
        "over-temperature",
        "stop-button-pressed",
        "write-ignored",
        "busy",
        "instrument-silent",
        "meter-frozen",
        "meter-overload",
        "meter-not-a-number",
        "meter-reversed",
        "meter-scale-off",
        "meter-restarted",
    ];

    private static readonly WireTrouble[] Wires = Enum.GetValues<WireTrouble>();

    // A stream protected by a checksum of its own loses or changes no single frame: it is late, cut in pieces, or gone.
    private static readonly WireTrouble[] Streams =
    [
        WireTrouble.Late,
        WireTrouble.Split,
        WireTrouble.Gone,
        WireTrouble.Duplicate,
        WireTrouble.DropReply,
    ];

    private static readonly Interference[] Interferences = Enum.GetValues<Interference>();

    /// <summary>Draws them.</summary>
    public static ImmutableArray<Mishap> Of(Draw draw, WorldFile world)
    {
        var count = draw.Below(100) switch
        {
            < 8 => 0,
            < 50 => 1,
            < 80 => 2,
            _ => 3,
        };
        var mishaps = ImmutableArray.CreateBuilder<Mishap>(count);
        for (var k = 0; k < count; k++)
            mishaps.Add(One(draw, world));
        return mishaps.MoveToImmutable();
    }

    private static Mishap One(Draw draw, WorldFile world)
    {
        var when = When(draw);
        return draw.Below(100) switch
        {
            < 40 => Wire(draw, world, when),
            < 80 => Bench(draw, world, when),
            < 92 => new PersonMishap(when, draw.Of(Interferences)),
            < 97 => new StorageMishap(when, IsLost: false, draw.Between(20, 8000)),
            _ => new StorageMishap(when, IsLost: true, TimeSpan.Zero),
        };
    }

    private static Moment When(Draw draw) =>
        draw.Below(100) switch
        {
            < 6 => new Moment(Anchor.Opened, 1, draw.Between(0, 12_000)),
            < 20 => new Moment(Anchor.Gate, 1, draw.Between(0, 12_000)),
            < 45 => new Moment(Anchor.Step, 1 + draw.Below(8), draw.Between(0, 5000)),
            < 85 => new Moment(Anchor.Intent, 1 + draw.Below(12), draw.Between(0, 400)),
            _ => new Moment(Anchor.Removed, 1, draw.Between(0, 600)),
        };

    private static WireMishap Wire(Draw draw, WorldFile world, Moment when)
    {
        var device = Device(draw, world);
        var isStream = device == world.Bank.Name && world.Bank.Protocol == "modbus-tcp";
        var trouble = draw.Of(isStream ? Streams : Wires);
        var span = trouble switch
        {
            WireTrouble.Late => draw.Between(5, 1500),
            WireTrouble.Split => draw.Between(0.1, 120),
            WireTrouble.Gone => draw.Between(10, 6000),
            _ => TimeSpan.Zero,
        };
        return new WireMishap(when, device, trouble, 1 + draw.Below(draw.Percent(30) ? 20 : 3), span);
    }

    private static BenchMishap Bench(Draw draw, WorldFile world, Moment when)
    {
        var name = draw.Of(BenchFaults);
        var fault = FaultCatalogue.TargetOf(name) switch
        {
            FaultTarget.Element => new Fault(name, Element: draw.Below(MostElements)),
            FaultTarget.Meter => new Fault(name, Device: draw.Of(world.Meters).Name),
            FaultTarget.Device => new Fault(name, Device: Device(draw, world)),
            _ => new Fault(name),
        };
        return new BenchMishap(
            when,
            name switch
            {
                "shunt-ratio-off" => fault with { Value = draw.Below(101) - 50 },
                "source-overvoltage" => fault with { Value = 1 + draw.Below(80) },
                "engine-stall" => fault with { Value = draw.Percent(50) ? 0 : 1 + draw.Below(8) },
                "loose-lug" => fault with { Value = 1 + draw.Below(60) },
                "write-ignored" or "busy" => fault with { Count = draw.Percent(50) ? 0 : 1 + draw.Below(6) },
                "meter-scale-off" => fault with { Value = draw.Percent(50) ? 10 : 0.1 },
                _ => fault,
            }
        );
    }

    /// <summary>The bank as often as all meters together: it is the one that can hurt.</summary>
    private static string Device(Draw draw, WorldFile world) =>
        draw.Percent(50) ? world.Bank.Name : draw.Of(world.Meters).Name;
}
