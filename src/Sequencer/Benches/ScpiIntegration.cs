using System.Globalization;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Benches;

/// <summary>How long a meter integrates by the commands that set it, held against what its definition says of it.</summary>
/// <remarks>
/// SCPI-99, command reference, SENSe: <c>APERture</c> in seconds, <c>NPLCycles</c> in periods of the power line, here of 50 Hz to
/// 60 Hz. <c>VOLT:DC:NPLC 10</c> integrates for 167 ms to 200 ms.
/// </remarks>
internal static class ScpiIntegration
{
    private const double ShortestCycle = 1 / 60.0;
    private const double LongestCycle = 1 / 50.0;
    private const double Rounding = 0.05;

    /// <summary>What is wrong with the input's aperture or the definition's deadline, a sentence; null when nothing is.</summary>
    /// <param name="input">The input.</param>
    /// <param name="deadline">Of the definition; zero when it has none.</param>
    internal static string? Objection(InputDefinition input, TimeSpan deadline)
    {
        foreach (var command in input.Commands?.Configure ?? [])
        {
            if (Of(command) is not { } set)
            {
                continue;
            }
            var span =
                set.Least == set.Most ? Show(set.Most) : $"{Show(set.Least)} to {Show(set.Most)} (60 Hz to 50 Hz)";
            if (deadline > TimeSpan.Zero && set.Most >= deadline.TotalSeconds)
            {
                return $"`{command}` makes it integrate for {span}, but `deadline` is {Show(deadline.TotalSeconds)}: no reading can come in time. Write a longer `deadline`, or a shorter integration time.";
            }
            var stated = input.Aperture.TotalSeconds;
            if (stated < set.Least * (1 - Rounding) || stated > set.Most * (1 + Rounding))
            {
                return $"`{command}` makes it integrate for {span}, but `aperture` is {Show(stated)}. Write the same time in both.";
            }
        }
        return null;
    }

    private static (double Least, double Most)? Of(string command)
    {
        var at = command.IndexOf(' ', StringComparison.Ordinal);
        if (
            at < 0
            || !double.TryParse(command[at..], NumberStyles.Float, CultureInfo.InvariantCulture, out var value)
            || !(value > 0)
        )
        {
            return null;
        }
        var word = command[..at].Split(':')[^1].ToUpperInvariant();
        return word switch
        {
            "APER" or "APERTURE" => (value, value),
            "NPLC" or "NPLCYCLES" => (value * ShortestCycle, value * LongestCycle),
            _ => null,
        };
    }

    private static string Show(double seconds) => UnitText.Show(seconds, Unit.Second);
}
