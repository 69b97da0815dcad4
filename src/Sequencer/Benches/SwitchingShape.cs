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
    private static readonly Key<int> Coils = Key.Optional(
        "coils from",
        Address(),
        "Coil of element 1; the others follow. Modbus only.",
        "coils from: 0"
    );
    private static readonly Key<int> Contacts = Key.Optional(
        "contacts from",
        Address(),
        "Discrete input of element 1's auxiliary contact; the others follow. Modbus only.",
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
    private static readonly Key<TextExchange> Switch = Key.Optional(
        "switch",
        TextExchangeShape.Exchange(("SET <elements hex 2>", "SET <elements hex 2>"), ["elements"], []),
        "Switches the elements to a set, all with one line; text only."
    );
    private static readonly Key<TextExchange> State = Key.Optional(
        "state",
        TextExchangeShape.Exchange(
            ("STATE?", "STATE <commanded hex 2> <closed hex 2> <air bits 1>"),
            [],
            ["commanded", "closed"],
            "air",
            "hot",
            "healthy"
        ),
        "Asks what was commanded and what is really closed, and for `air` flow, too `hot` and stop circuit `healthy`; text only."
    );
    private static readonly Key<TextExchange> Fan = Key.Optional(
        "fan",
        TextExchangeShape.Exchange(("FAN <on bits 1>", "FAN <on bits 1>"), ["on"], []),
        "Runs and stops the fan; text only; left out when it follows the bank."
    );
    private static readonly Key<WatchdogText> Watchdog = Key.Optional(
        "watchdog",
        WatchdogShape(),
        "The bank's own communication watchdog; left out when it has none."
    );

    /// <summary>The switching part.</summary>
    internal static readonly MappingShape<BankSwitching> Switching = new(
        "switching",
        Of.Keys(Elements, Coils, Contacts, FanCoil, AirFlow, TooHot, Stop, Switch, State, Fan, Closes, Opens, Watchdog),
        Build,
        Check
    );

    private static BankSwitching Build(Fields f)
    {
        var watchdog = f.Maybe(Watchdog);
        return new BankSwitching(
            f.Get(Coils, 0),
            f.Get(Elements),
            f.Get(Contacts, 0),
            f.MaybeValue(FanCoil),
            f.Maybe(AirFlow),
            f.Maybe(TooHot),
            f.Maybe(Stop),
            f.Get(Closes),
            f.Get(Opens),
            watchdog?.Register,
            watchdog?.Seconds ?? 0
        )
        {
            Text = f.Maybe(Switch) is { } set
                ? new TextSwitching(set, f.Get(State), f.Maybe(Fan), watchdog?.Set, watchdog?.Ask)
                : null,
        };
    }

    private static CountShape Address() => new(0, 65536);

    private static MappingShape<WatchdogText> WatchdogShape()
    {
        var register = Key.Optional(
            "register",
            RegisterShape.Register,
            "Holding register it is set in, in seconds after `scale`."
        );
        var set = Key.Optional(
            "set",
            TextExchangeShape.Exchange(("WDG <seconds integer>", "WDG <seconds integer>"), ["seconds"], []),
            "How it is set; text only."
        );
        var ask = Key.Optional(
            "ask",
            TextExchangeShape.Exchange(("WDG?", "WDG <seconds integer>"), [], ["seconds"]),
            "How it is read back; text only."
        );
        var time = Key.Required("time", Of.Time(1, 60, "2 s"), "What the gate sets it to; whole seconds.");
        return new MappingShape<WatchdogText>(
            "watchdog",
            Of.Keys(register, set, ask, time),
            f => new WatchdogText(f.Maybe(register), f.Maybe(set), f.Maybe(ask), (int)f.Get(time).TotalSeconds),
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
                if (f.Has(register) ? f.Has(set) || f.Has(ask) : !f.Has(set) || !f.Has(ask))
                {
                    f.Findings.Error(f.Place, "A watchdog has either a `register` (Modbus) or `set` and `ask` (text).");
                }
            }
        );
    }

    private static void CheckWay(Fields f)
    {
        Key[] registers = [Coils, Contacts];
        Key[] mayRegisters = [FanCoil, AirFlow, TooHot, Stop];
        Key[] lines = [Switch, State];
        var isText = lines.Concat([Fan]).Any(f.Has);
        var foreign = (isText ? registers.Concat(mayRegisters) : lines.Append(Fan)).FirstOrDefault(f.Has);
        if (foreign is not null)
        {
            f.Findings.Error(
                f.PlaceOf(foreign),
                $"`{foreign.Name}` does not go with the other keys: a bank is switched either by coils (Modbus) or by `switch` and `state` (text)."
            );
        }
        foreach (var key in (isText ? lines : registers).Where(k => !f.Has(k)))
        {
            f.Findings.Error(
                f.Place,
                $"`{key.Name}` is missing in switching and must be given. Add for example `{key.Example}`."
            );
        }
        if (f.TryGet(Elements, out var count) && f.TryGet(Switch, out var set) && f.TryGet(State, out var state))
        {
            foreach (
                var field in set
                    .Send.Parts.Concat(state.Reply.Parts)
                    .OfType<TextPart.Field>()
                    .Where(p => p.Name is "elements" or "commanded" or "closed")
            )
            {
                var holds = field.Form switch
                {
                    FieldForm.Hex => 4 * field.Width,
                    FieldForm.Bits => field.Width,
                    _ => 0,
                };
                if (holds < count || field.Form == FieldForm.Bits && holds != count)
                {
                    f.Findings.Error(
                        f.PlaceOf(field.Name == "elements" ? Switch : State),
                        $"The field `{field.Name}` does not hold {count} elements. Write hex with enough digits, or bits {count}."
                    );
                }
            }
        }
    }

    private static void Check(Fields f)
    {
        CheckWay(f);
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

    private sealed record WatchdogText(RegisterText? Register, TextExchange? Set, TextExchange? Ask, int Seconds);
}
