using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;

namespace LoadTest.Simulator.Physics;

/// <summary>How far each first-order change gets in a step of given length; closed forms, no integration error.</summary>
internal readonly record struct Rates(
    double Seconds,
    double Engine,
    double Coast,
    double Field,
    double Level,
    double UnitShunt,
    double ReferenceShunt,
    double Element,
    double AirFlow,
    double Outlet,
    double Winding,
    double WindingStill,
    double Lug,
    double Following
)
{
    public static Rates For(WorldFile world, long ticks)
    {
        var h = ticks * 1e-7;
        return new(
            h,
            Portable.Approach(h / world.Engine.LagSeconds),
            Portable.Approach(h / world.Engine.CoastSeconds),
            Portable.Approach(h / world.Alternator.BuildUpSeconds),
            Portable.Approach(h / world.Control.SettlingSeconds),
            Portable.Approach(h / world.UnitShunt.ThermalSeconds),
            Portable.Approach(h / world.ReferenceShunt.ThermalSeconds),
            Portable.Approach(h / world.Bank.ThermalSeconds),
            Portable.Approach(h / world.Bank.AirFlowSeconds),
            Portable.Approach(h / world.Bank.OutletSeconds),
            Portable.Approach(h / (world.Heat?.WindingSeconds ?? 1)),
            Portable.Approach(h / (world.Heat?.StillSeconds ?? 1)),
            Portable.Approach(h / (world.Heat?.LugSeconds ?? 1)),
            Portable.Approach(h / (world.Control.Transient?.Seconds ?? 1))
        );
    }
}
