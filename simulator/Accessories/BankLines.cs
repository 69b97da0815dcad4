using System.Globalization;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>The load bank on a text protocol; the same bank as behind the registers.</summary>
internal sealed class BankLines(Plant plant, BankMap map) : ITextServer
{
    /// <summary>CR LF, sum of the bytes behind an asterisk, no echo.</summary>
    public static readonly TextFrame Frame = new("\r\n", "\r\n", "sum", "*", false);

    private string Digits => $"X{(map.Elements + 3) / 4}";

    public string? Answer(string line, long ticks)
    {
        map.Fed(ticks);
        if (map.SpendBusy())
        {
            return "ERR 6";
        }

        var words = line.Split(' ');
        return words switch
        {
            ["ID?"] => Invariant($"ID EB-8T {plant.World.Bank.SerialNumber}"),
            ["REF?"] => Invariant($"REF {BankMap.CheckValue}"),
            ["ECHO", var token] when token.Length == 4 => $"ECHO {token}",
            ["V?"] => Invariant($"V {Value(8):F2}"),
            ["A?"] => Invariant($"A {Value(10):F1}"),
            ["T?"] => Invariant($"T {Value(12):F1}"),
            ["STATE?"] => State(),
            ["FLAGS?"] => Invariant($"FLAGS {Flags():X2}"),
            ["WDG?"] => Invariant($"WDG {map.HoldingRegisters()[0]}"),
            ["WDG", var seconds] => Watchdog(seconds, ticks),
            ["FAN", "0" or "1"] => map.WriteCoils(map.Elements, 1, words[1] == "1" ? 1UL : 0, ticks) ? line : "ERR 4",
            ["SET", var mask] => Set(mask, line, ticks),
            _ => "ERR 1",
        };
    }

    private string Set(string mask, string line, long ticks) =>
        mask.Length != (map.Elements + 3) / 4
        || !uint.TryParse(mask, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out var wanted)
        || wanted >> (map.Elements - 1) > 1
            ? "ERR 3"
        : map.WriteCoils(0, map.Elements, wanted, ticks) ? line
        : "ERR 4";

    private string Watchdog(string seconds, long ticks) =>
        ushort.TryParse(seconds, NumberStyles.None, CultureInfo.InvariantCulture, out var value)
        && map.WriteHolding(0, [value], ticks)
            ? $"WDG {seconds}"
            : "ERR 3";

    private string State()
    {
        var all = (1UL << map.Elements) - 1;
        var commanded = (map.Coils() & all).ToString(Digits, CultureInfo.InvariantCulture);
        var bits = map.Discretes();
        var closed = (bits & all).ToString(Digits, CultureInfo.InvariantCulture);
        var inputs = bits >> map.Elements;
        return $"STATE {commanded} {closed} {inputs & 1}{inputs >> 1 & 1}{inputs >> 2 & 1}";
    }

    // Bit 0: dropped by the watchdog; 1: dropped by its own protection.
    private int Flags() => map.InputRegisters()[7] >> 3 & 3;

    private float Value(int register)
    {
        var words = map.InputRegisters();
        return BitConverter.UInt32BitsToSingle((uint)words[register] << 16 | words[register + 1]);
    }

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
