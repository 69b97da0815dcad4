using System.Globalization;
using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>A logger of four temperatures on a text protocol: winding, lug, reference shunt, air.</summary>
internal sealed class LoggerLines(Plant plant, AccessoryWorld world, Chance chance) : ITextServer
{
    /// <summary>LF, CRC-16 without a mark, no echo.</summary>
    public static readonly TextFrame Frame = new("\n", "\n", "crc", "", false);

    private int _average = 1;

    public string? Answer(string line, long ticks)
    {
        var words = line.Split(' ');
        return words switch
        {
            ["WHO"] => Invariant($"WHO TL-4 {world.SerialNumber}"),
            ["CAL"] => "CAL 100.25",
            ["TOKEN", var token] when token.Length == 4 => line,
            ["TEMP", "1" or "2" or "3" or "4"] => Invariant($"TEMP {words[1]} {Celsius(words[1]):F1}"),
            ["AVG"] => Invariant($"AVG {_average}"),
            ["AVG", var count] => Average(count),
            ["OPEN"] => "OPEN 00",
            _ => "WHAT",
        };
    }

    private string Average(string count)
    {
        if (
            !int.TryParse(count, NumberStyles.None, CultureInfo.InvariantCulture, out var value) || value is < 1 or > 64
        )
        {
            return "WHAT";
        }

        _average = value;
        return Invariant($"AVG {value}");
    }

    private double Celsius(string channel)
    {
        ref readonly var state = ref plant.Look();
        var rise = channel switch
        {
            "1" => state.WindingRise,
            "2" => state.LugRise,
            "3" => state.ReferenceShuntRise,
            _ => 0,
        };
        return plant.World.AmbientCelsius + rise + 0.05 * chance.Normal();
    }

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
