using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>The auxiliary output as a device that loads it lightly sees it.</summary>
internal static class AuxiliarySupply
{
    private const double UsualVolts = 120;

    /// <summary>Volts rms: the world's own auxiliary output, or 120 V at rated speed where the world has none.</summary>
    public static double Volts(WorldFile world, in PlantState state) =>
        world.Auxiliary is null ? UsualVolts * state.Field * state.Rpm / world.Engine.RatedRpm : state.AuxiliaryVolts;
}
