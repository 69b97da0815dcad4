using LoadTest.Sequencer.Text.Shapes;

namespace LoadTest.Sequencer.Benches;

/// <summary>How a bank's controller switches and watches its elements.</summary>
internal static class SwitchingShape
{
    private static readonly Key<int> Elements = Key.Required(
        "elements",
        new CountShape(1, 24),
        "How many elements.",
        "elements: 8"
    );
    private static readonly Key<int> Coils = Key.Required(
        "coils from",
        Address(),
        "Coil of element 1; the others follow.",
        "coils from: 0"
    );
    private static readonly Key<int> Contacts = Key.Required(
        "contacts from",
        Address(),
        "Discrete input of element 1's auxiliary contact; the others follow.",
        "contacts from: 0"
    );
    private static readonly Key<int> FanCoil = Key.Optional(
        "fan coil",
        Address(),
        "Coil that runs the fan; left out when it follows the bank."
    );
    private static readonly Key<RegisterText> AirFlow = Key.Optional(
        "air flow",
        RegisterShape.Register,
        "Bit that is set while air flows."
    );
    private static readonly Key<RegisterText> TooHot = Key.Optional(
        "over-temperature",
        RegisterShape.Register,
        "Bit that is set when too hot."
    );
    private static readonly Key<RegisterText> Stop = Key.Optional(
        "stop circuit healthy",
        RegisterShape.Register,
        "Bit that is set while the hard-wired stop is not pressed."
    );
    private static readonly Key<TimeSpan> Closes = Key.Required(
        "closes within",
        Of.Time(0.001, 5, "60 ms"),
        "Longest time from command to contact closed."
    );
    private static readonly Key<TimeSpan> Opens = Key.Required(
        "opens within",
        Of.Time(0.001, 5, "50 ms"),
        "Longest time from command to contact open."
    );
    private static readonly Key<(RegisterText Register, int Seconds)> Watchdog = Key.Optional(
        "watchdog",
        WatchdogShape(),
        "The bank's own communication watchdog; left out when it has none."
    );

    /// <summary>The switching part.</summary>
    internal static readonly MappingShape<BankSwitching> Switching = new(
        "switching",
        Of.Keys(Elements, Coils, Contacts, FanCoil, AirFlow, TooHot, Stop, Closes, Opens, Watchdog),
        f => new BankSwitching(
            f.Get(Coils),
            f.Get(Elements),
            f.Get(Contacts),
            f.MaybeValue(FanCoil),
            f.Maybe(AirFlow),
            f.Maybe(TooHot),
            f.Maybe(Stop),
            f.Get(Closes),
            f.Get(Opens),
            f.MaybeValue(Watchdog)?.Register,
            f.MaybeValue(Watchdog)?.Seconds ?? 0
        ),
        Check
    );

    private static CountShape Address() => new(0, 65536);

    private static MappingShape<(RegisterText Register, int Seconds)> WatchdogShape()
    {
        var register = Key.Required("register", RegisterShape.Register, "Holding register it is set in, in seconds.");
        var time = Key.Required("time", Of.Time(1, 60, "2 s"), "What the gate sets it to; whole seconds.");
        return new MappingShape<(RegisterText, int)>(
            "watchdog",
            Of.Keys(register, time),
            f => (f.Get(register), (int)f.Get(time).TotalSeconds),
            f =>
            {
                if (f.TryGet(time, out var span) && span.Ticks % TimeSpan.TicksPerSecond != 0)
                {
                    f.Findings.Error(f.PlaceOf(time), "`time` of a watchdog is in whole seconds, for example `2 s`.");
                }
                if (f.TryGet(register, out var at) && at.Table != RegisterTable.HoldingRegister)
                {
                    f.Findings.Error(f.PlaceOf(register), "A watchdog is set in a holding register.");
                }
            }
        );
    }

    private static void Check(Fields f)
    {
        f.Demand(
            Elements,
            Coils,
            (count, first) => first + count <= 65536,
            "The coils of the last elements lie beyond address 65535."
        );
        f.Demand(
            Elements,
            Contacts,
            (count, first) => first + count <= 65536,
            "The contacts of the last elements lie beyond address 65535."
        );
        if (
            f.TryGet(Elements, out var elements)
            && f.TryGet(Coils, out var coil)
            && f.TryGet(FanCoil, out var fan)
            && fan >= coil
            && fan < coil + elements
        )
        {
            f.Findings.Error(f.PlaceOf(FanCoil), $"`fan coil` {fan} is the coil of element {fan - coil + 1}.");
        }
        foreach (var key in new[] { AirFlow, TooHot, Stop })
        {
            if (f.TryGet(key, out var register) && register.Form != RegisterForm.Bit)
            {
                f.Findings.Error(f.PlaceOf(key), $"`{key.Name}` is a coil or discrete input with the form `bit`.");
            }
        }
    }
}
