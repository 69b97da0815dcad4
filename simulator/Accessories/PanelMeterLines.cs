using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>A panel voltmeter at the bank's terminals on a two-wire line that hears itself; its address is 01.</summary>
internal sealed class PanelMeterLines(Plant plant, AccessoryWorld world, Chance chance) : ITextServer
{
    /// <summary>CR, exclusive or of the bytes, echo of everything sent.</summary>
    public static readonly TextFrame Frame = new("\r", "\r", "xor", "", true);

    private const double Range = 120;

    public string? Answer(string line, long ticks) =>
        line switch
        {
            "#01N" => FormattableString.Invariant($"01N PM-5 {world.SerialNumber}"),
            "#01K" => "01K +5.0000",
            "#01V" => Volts(),
            _ => line.StartsWith("#01", StringComparison.Ordinal) ? "01?" : null,
        };

    private string Volts()
    {
        var volts = plant.Look().BankVolts * 1.001 + 0.01 * chance.Normal();
        return Math.Abs(volts) > Range ? "01V OVER" : FormattableString.Invariant($"01V {volts:+000.00;-000.00}");
    }
}
