using System.Collections.Frozen;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Faults;

/// <summary>The faults there are, what they strike and how large they usually are.</summary>
public static class FaultCatalogue
{
    private static readonly FrozenDictionary<string, FaultKind> Kinds = new FaultKind[]
    {
        new("feedback-lead-open", FaultTarget.Source, "the control sees no current and gives full output"),
        new("shunt-ratio-off", FaultTarget.Source, "the unit's shunt ratio is off by so much", -1.8, -50, 50, "%"),
        new("diode-open", FaultTarget.Source, "one rectifier diode conducts no more: mean 5/6, ripple at f"),
        new("phase-lost", FaultTarget.Source, "one alternator phase is gone: mean 2/3, ripple at 2f"),
        new("build-up-lost", FaultTarget.Source, "the field falls to its residual value"),
        new("source-overvoltage", FaultTarget.Source, "the source gives so much more voltage", 30, 1, 200, "%"),
        new("engine-stall", FaultTarget.Source, "the engine dies; back after so long, 0 = stays", 0, 0, 3600, "s"),
        new("control-dead-spot", FaultTarget.Source, "the dial does nothing for 10 % around here", 50, 5, 95, "%"),
        new("loose-lug", FaultTarget.Source, "so much more resistance in the leads", 8, 0.01, 1000, "mΩ"),
        new("element-stuck-closed", FaultTarget.Element, "the contactor does not open any more"),
        new("element-stuck-open", FaultTarget.Element, "the contactor does not close any more"),
        new("fan-failed", FaultTarget.Bank, "the fan stands still whatever is commanded"),
        new("watchdog-dead", FaultTarget.Bank, "the communication watchdog is set and never acts"),
        new("over-temperature", FaultTarget.Bank, "the outlet sensor reads hot"),
        new("stop-button-pressed", FaultTarget.Bank, "the hard-wired stop opens every contactor"),
        new("write-ignored", FaultTarget.Bank, "writes are answered as done and not done", Counted: true),
        new("busy", FaultTarget.Bank, "every request is answered with exception 06", Counted: true),
        new("instrument-silent", FaultTarget.Device, "no answers"),
        new("half-open", FaultTarget.Device, "nothing passes and nobody is told, so long; 0 = stays", 0, 0, 3600, "s"),
        new("unplugged", FaultTarget.Device, "the plug is pulled; put back after so long, 0 = stays", 0, 0, 3600, "s"),
        new("line-reset", FaultTarget.Device, "the line breaks, and is refused for so long", 0.1, 0, 3600, "s"),
        new("slow-replies", FaultTarget.Modbus, "one request at a time, each takes so long", 100, 0, 60_000, "ms"),
        new("drop-request", FaultTarget.Device, "the request is not heard", Counted: true, UsualCount: 1),
        new("drop-reply", FaultTarget.Device, "the request is obeyed, the answer lost", Counted: true, UsualCount: 1),
        new("late-reply", FaultTarget.Device, "answers come late", 400, 1, 60_000, "ms", true, 1),
        new("corrupt-reply", FaultTarget.Device, "one bit of the answer is flipped", Counted: true, UsualCount: 1),
        new("duplicate-reply", FaultTarget.Device, "the answer comes twice", Counted: true, UsualCount: 1),
        new(
            "split-reply",
            FaultTarget.Device,
            "cut in two, elsewhere each time, a pause between",
            5,
            0,
            60_000,
            "ms",
            true,
            1
        ),
        new("drip-reply", FaultTarget.Device, "byte by byte, a pause between", 5, 0, 60_000, "ms", true, 1),
        new("merge-replies", FaultTarget.Device, "held back and sent with the next", Counted: true, UsualCount: 1),
        new("echo", FaultTarget.Device, "the request comes back before the answer", Counted: true, UsualCount: 1),
        new("garbage", FaultTarget.Device, "bytes nobody sent before the answer", Counted: true, UsualCount: 1),
        new("wrong-unit", FaultTarget.Modbus, "the answer bears another unit's address", Counted: true, UsualCount: 1),
        new("wrong-transaction", FaultTarget.ModbusTcp, "another request's number", Counted: true, UsualCount: 1),
        new("meter-frozen", FaultTarget.Meter, "the same reading for ever"),
        new("meter-overload", FaultTarget.Meter, "reads over range"),
        new("meter-not-a-number", FaultTarget.Meter, "reads 9.91E37"),
        new("meter-reversed", FaultTarget.Meter, "its leads are swapped"),
        new("meter-scale-off", FaultTarget.Meter, "reads so many times too much", 10, 0.001, 1000, "×"),
        new("meter-restarted", FaultTarget.Meter, "lost power for a moment: settings are the usual ones again"),
    }.ToFrozenDictionary(kind => kind.Name, StringComparer.Ordinal);

    /// <summary>Every name, sorted.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. Kinds.Keys.Order(StringComparer.Ordinal)];

    /// <summary>One sentence: what the named fault does.</summary>
    public static string Describe(string name) => Kinds[name].Meaning;

    /// <summary>What the named fault strikes.</summary>
    public static FaultTarget TargetOf(string name) => Kinds[name].Target;

    /// <summary>Why this fault cannot be injected into this world; null when it can.</summary>
    public static string? Objection(Fault fault, WorldFile world)
    {
        ArgumentNullException.ThrowIfNull(fault);
        ArgumentNullException.ThrowIfNull(world);
        if (!Kinds.TryGetValue(fault.Name, out var kind))
        {
            return $"'{fault.Name}' is not a fault; there are {string.Join(", ", Names)}.";
        }

        var meters = world.Meters.Select(meter => meter.Name).ToArray();
        string[] devices =
        [
            .. meters,
            .. (world.Loggers ?? []).Select(logger => logger.Name),
            .. (world.Accessories ?? []).Select(one => one.Name),
            world.Bank.Name,
        ];
        var elements = world.Bank.ElementOhms.Length + (world.Auxiliary?.ElementOhms.Length ?? 0);
        return kind.Target switch
        {
            FaultTarget.Element when !(fault.Element >= 0 && fault.Element < elements) =>
                $"{fault.Name} needs an element from 0 to {elements - 1}; found {fault.Element?.ToString() ?? "none"}.",
            FaultTarget.Meter when !meters.Contains(fault.Device, StringComparer.Ordinal) =>
                $"{fault.Name} needs a meter: {string.Join(", ", meters)}; found {fault.Device ?? "none"}.",
            FaultTarget.Device when !devices.Contains(fault.Device, StringComparer.Ordinal) =>
                $"{fault.Name} needs a device: {string.Join(", ", devices)}; found {fault.Device ?? "none"}.",
            FaultTarget.Modbus or FaultTarget.ModbusTcp => ObjectionToProtocol(fault, kind, world),
            _ => ObjectionToSize(fault, kind),
        };
    }

    internal static bool HasSize(string name) => Kinds[name].Unit.Length > 0;

    internal static double ValueOf(Fault fault) => fault.Value ?? Kinds[fault.Name].UsualValue;

    internal static int CountOf(Fault fault) => fault.Count ?? Kinds[fault.Name].UsualCount;

    private static string? ObjectionToProtocol(Fault fault, FaultKind kind, WorldFile world)
    {
        var isTcpOnly = kind.Target == FaultTarget.ModbusTcp;
        var bank =
            world.Bank.Protocol is "modbus-tcp" or "modbus-rtu" && (!isTcpOnly || world.Bank.Protocol == "modbus-tcp");
        string[] devices =
        [
            .. (world.Loggers ?? []).Select(logger => logger.Name),
            .. bank ? [world.Bank.Name] : Array.Empty<string>(),
        ];
        return devices.Contains(fault.Device, StringComparer.Ordinal)
            ? ObjectionToSize(fault, kind)
            : $"{fault.Name} needs bank or logger on Modbus{(isTcpOnly ? " TCP" : "")}: {string.Join(", ", devices)}; found {fault.Device ?? "none"}.";
    }

    private static string? ObjectionToSize(Fault fault, FaultKind kind)
    {
        if (fault.Value is { } value)
        {
            if (kind.Unit.Length == 0)
            {
                return $"{fault.Name} has no size; leave {value} out.";
            }

            if (!(value >= kind.Lowest && value <= kind.Highest))
            {
                return $"{fault.Name} is {value} {kind.Unit}; allowed is {kind.Lowest} to {kind.Highest} {kind.Unit}.";
            }
        }

        return fault.Count switch
        {
            null => null,
            _ when !kind.Counted => $"{fault.Name} has no count; leave {fault.Count} out.",
            < 0 => $"{fault.Name} has a count of {fault.Count}; allowed is 0 (until cleared) or more.",
            _ => null,
        };
    }

    private sealed record FaultKind(
        string Name,
        FaultTarget Target,
        string Meaning,
        double UsualValue = 0,
        double Lowest = 0,
        double Highest = 0,
        string Unit = "",
        bool Counted = false,
        int UsualCount = 0
    );
}
