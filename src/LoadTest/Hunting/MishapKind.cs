using System.Collections.Immutable;
using LoadTest.Simulator.Faults;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Hunting;

/// <summary>One thing that can go wrong, as the table of a hunt counts it.</summary>
/// <param name="Name">In a few words.</param>
/// <param name="Make">Draws one with its sizes, for a world, at a moment.</param>
internal sealed record MishapKind(string Name, Func<MishapKind, Draw, WorldFile, Moment, Mishap> Make)
{
    private const string ModbusTcp = "modbus-tcp";

    /// <summary>Most a slow bank takes for a request, ms: with its turn-around, and what a two-wire bus takes, 0.9 of its deadline.</summary>
    private const int SlowestTcp = 128;
    private const int SlowestRtu = 80;

    /// <summary>Whether it needs a wire without a checksum of its own to the bank: on a protected stream no single frame is lost or changed.</summary>
    public bool NeedsBareWire { get; private init; }

    /// <summary>Whether it needs transaction numbers on the bank's wire.</summary>
    public bool NeedsTransactions { get; private init; }

    /// <summary>Whether it strikes the output-enable relay.</summary>
    public bool NeedsRelay { get; private init; }

    /// <summary>Every kind, in the order of the table.</summary>
    public static ImmutableArray<MishapKind> All { get; } =
    [
        .. Enum.GetValues<WireTrouble>().SelectMany(t => new[] { OnWire(t, isBank: true), OnWire(t, isBank: false) }),
        Source("feedback lead open", "feedback-lead-open", _ => null),
        Source("shunt ratio off", "shunt-ratio-off", d => d.Below(101) - 50),
        Source("diode open", "diode-open", _ => null),
        Source("phase lost", "phase-lost", _ => null),
        Source("build-up lost", "build-up-lost", _ => null),
        Source("over-voltage", "source-overvoltage", d => 1 + d.Below(80)),
        Source("engine stalls for good", "engine-stall", _ => 0),
        Source("engine stalls and returns", "engine-stall", d => 1 + d.Below(8)),
        Source("control with a dead spot", "control-dead-spot", d => 5 + d.Below(91)),
        Source("loose lug", "loose-lug", d => 1 + d.Below(60)),
        Element("element stuck closed", "element-stuck-closed"),
        Element("element stuck open", "element-stuck-open"),
        Source("bank's watchdog dead", "watchdog-dead", _ => null),
        Source("fan failed", "fan-failed", _ => null),
        Source("bank too hot", "over-temperature", _ => null),
        Source("hard-wired stop", "stop-button-pressed", _ => null),
        Counted("writes ignored", "write-ignored"),
        Counted("bank busy", "busy"),
        new("bank silent", (k, _, w, at) => new BenchMishap(k, at, new Fault("instrument-silent", w.Bank.Name))),
        Line("line half open", "half-open", d => 1 + d.Below(6)),
        Line("line unplugged and back", "unplugged", d => 1 + d.Below(6)),
        Line("line reset and back", "line-reset", d => d.Below(16) / 10.0),
        new(
            "bank slow",
            (k, d, w, at) =>
                new BenchMishap(
                    k,
                    at,
                    new Fault(
                        "slow-replies",
                        w.Bank.Name,
                        Value: 5 + d.Below(w.Bank.Protocol == ModbusTcp ? SlowestTcp : SlowestRtu)
                    )
                )
        ),
        Line("request not heard", "drop-request", _ => null, needsBareWire: true),
        Line("reply cut in two", "split-reply", d => d.Below(120)),
        Line("reply byte by byte", "drip-reply", d => d.Below(60)),
        Line("replies merged", "merge-replies", _ => null),
        Line("garbage before reply", "garbage", _ => null, needsBareWire: true),
        new(
            "reply of another unit",
            (k, d, w, at) => new BenchMishap(k, at, new Fault("wrong-unit", w.Bank.Name, Count: 1 + d.Below(4)))
        ),
        new(
            "reply to another request",
            (k, d, w, at) => new BenchMishap(k, at, new Fault("wrong-transaction", w.Bank.Name, Count: 1 + d.Below(4)))
        )
        {
            NeedsTransactions = true,
        },
        Meter("meter silent", "instrument-silent", _ => null),
        Meter("meter frozen", "meter-frozen", _ => null),
        Meter("meter overloaded", "meter-overload", _ => null),
        Meter("meter gives no number", "meter-not-a-number", _ => null),
        Meter("meter leads swapped", "meter-reversed", _ => null),
        Meter("meter scale off", "meter-scale-off", d => d.Percent(50) ? 10 : 0.1),
        Meter("meter restarted", "meter-restarted", _ => null),
        new("meters stale from the removal on", (k, d, w, _) => Stale(k, d, w)),
        .. Enum.GetValues<Interference>().Select(OfPerson),
        new("relay silent", (k, _, _, at) => new BenchMishap(k, at, new Fault("instrument-silent", HuntPlan.Relay)))
        {
            NeedsRelay = true,
        },
        new("storage stalls", (k, d, _, at) => new StorageMishap(k, at, IsLost: false, d.Between(20, 8000))),
        new("storage lost", (k, _, _, at) => new StorageMishap(k, at, IsLost: true, TimeSpan.Zero)),
        Clock("clock set", ClockTrouble.Set, d => d.Between(1, 3_600_000) * (d.Percent(50) ? 1 : -1)),
        Clock("machine sleeps", ClockTrouble.Sleep, d => d.Between(1, d.Percent(50) ? 1000 : 600_000)),
        Clock("machine too busy", ClockTrouble.Busy, d => d.Between(1, d.Percent(50) ? 400 : 4000)),
    ];

    /// <summary>Whether it can happen on this bench.</summary>
    public bool CanHappen(WorldFile world) =>
        (!NeedsRelay || (world.Accessories ?? []).Any(a => a.Name == HuntPlan.Relay))
        && (world.Bank.Protocol == ModbusTcp ? !NeedsBareWire : !NeedsTransactions);

    private static MishapKind Clock(string name, ClockTrouble trouble, Func<Draw, TimeSpan> span) =>
        new(name, (kind, draw, _, at) => new ClockMishap(kind, at, trouble, span(draw)));

    /// <summary>One of the devices beside the bank; loggers are on protected streams.</summary>
    private static string Other(Draw draw, WorldFile world) =>
        draw.Of([.. world.Meters.Select(m => m.Name), .. (world.Loggers ?? []).Select(l => l.Name)]);

    private static MishapKind OnWire(WireTrouble trouble, bool isBank) =>
        new(
            $"{Words(trouble)}, {(isBank ? "bank" : "meter")}",
            (kind, draw, world, at) =>
                new WireMishap(
                    kind,
                    at,
                    isBank ? world.Bank.Name
                        : IsOfBareWire(trouble) ? draw.Of(world.Meters).Name
                        : Other(draw, world),
                    trouble,
                    1 + draw.Below(draw.Percent(30) ? 20 : 3),
                    trouble switch
                    {
                        WireTrouble.Late => draw.Between(5, 1500),
                        WireTrouble.Split => draw.Between(0.1, 120),
                        WireTrouble.Gone => draw.Between(10, 6000),
                        _ => TimeSpan.Zero,
                    }
                )
        )
        {
            NeedsBareWire = isBank && IsOfBareWire(trouble),
        };

    private static bool IsOfBareWire(WireTrouble trouble) =>
        trouble
            is WireTrouble.DropRequest
                or WireTrouble.DamageReply
                or WireTrouble.DamageRequest
                or WireTrouble.Noise
                or WireTrouble.Echo;

    private static string Words(WireTrouble trouble) =>
        trouble switch
        {
            WireTrouble.DropRequest => "request lost",
            WireTrouble.DropReply => "reply lost",
            WireTrouble.Late => "reply late",
            WireTrouble.DamageReply => "reply damaged",
            WireTrouble.DamageRequest => "request damaged",
            WireTrouble.Duplicate => "reply twice",
            WireTrouble.Split => "reply in pieces",
            WireTrouble.Noise => "noise before reply",
            WireTrouble.Echo => "request echoed",
            _ => "line dead for a time",
        };

    private static MishapKind Source(string name, string fault, Func<Draw, double?> value) =>
        new(name, (kind, draw, _, at) => new BenchMishap(kind, at, new Fault(fault, Value: value(draw))));

    private static MishapKind Counted(string name, string fault) =>
        new(
            name,
            (kind, draw, _, at) =>
                new BenchMishap(kind, at, new Fault(fault, Count: draw.Percent(50) ? 0 : 1 + draw.Below(6)))
        );

    private static MishapKind Element(string name, string fault) =>
        new(
            name,
            (kind, draw, world, at) =>
                new BenchMishap(
                    kind,
                    at,
                    new Fault(
                        fault,
                        Element: draw.Below(world.Bank.ElementOhms.Length + (world.Auxiliary?.ElementOhms.Length ?? 0))
                    )
                )
        );

    private static MishapKind Line(string name, string fault, Func<Draw, double?> value, bool needsBareWire = false) =>
        new(
            name,
            (kind, draw, world, at) =>
                new BenchMishap(
                    kind,
                    at,
                    new Fault(
                        fault,
                        draw.Percent(50) ? world.Bank.Name
                            : needsBareWire ? draw.Of(world.Meters).Name
                            : Other(draw, world),
                        Value: value(draw),
                        Count: fault is "half-open" or "unplugged" or "line-reset" ? null : 1 + draw.Below(4)
                    )
                )
        )
        {
            NeedsBareWire = needsBareWire,
        };

    private static MishapKind Meter(string name, string fault, Func<Draw, double?> value) =>
        new(
            name,
            (kind, draw, world, at) =>
                new BenchMishap(kind, at, new Fault(fault, draw.Of(world.Meters).Name, Value: value(draw)))
        );

    /// <summary>All meters, or one; the moment is the removal itself, whatever brings it about.</summary>
    private static StaleMishap Stale(MishapKind kind, Draw draw, WorldFile world)
    {
        var all = world.Meters.Select(m => m.Name).ToArray();
        return new StaleMishap(
            kind,
            new Moment(RunStage.Removing, 1, TimeSpan.Zero),
            draw.Of(Enum.GetValues<Staleness>()),
            draw.Percent(60) ? [.. all] : [draw.Of(all)]
        );
    }

    private static MishapKind OfPerson(Interference act) =>
        new(
            act switch
            {
                Interference.Stop => "person stops the run",
                Interference.RemovedOutside => "stop from outside",
                Interference.Signal => "signal",
                Interference.No => "person says no",
                _ => "person lost",
            },
            (kind, _, _, at) => new PersonMishap(kind, at, act)
        );
}
