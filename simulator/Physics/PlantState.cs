using System.Runtime.CompilerServices;

namespace LoadTest.Simulator.Physics;

/// <summary>Everything continuous about the bench at one instant; copied to look ahead without moving.</summary>
internal struct PlantState
{
    /// <summary>Time since the bench was made, in ticks of 100 ns.</summary>
    public long Ticks;

    // What has memory.
    public double Rpm;
    public double Field;
    public double Level;
    public double UnitShuntRise;
    public double ReferenceShuntRise;
    public double AirFlow;
    public double OutletRise;
    public double WindingRise;
    public double LugRise;

    // Volts and amperes as the control has followed them.
    public double FollowedVolts;
    public double FollowedAmperes;
    public ElementRises ElementRise;

    // What the network gives at this instant.
    public double CeilingVolts;
    public double Conductance;
    public double StudVolts;
    public double BankVolts;
    public double Amperes;
    public double UnitDrop;
    public double ReferenceDrop;
    public double RippleVolts;
    public double RippleAmperes;
    public double RippleHertz;
    public double ShaftWatts;
    public double LevelTarget;
    public double AuxiliaryVolts;
    public double AuxiliaryAmperes;

    // Integrals over time of what meters average, V·s.
    public double StudVoltSeconds;
    public double BankVoltSeconds;
    public double UnitDropSeconds;
    public double ReferenceDropSeconds;

    /// <summary>Rise of each element above ambient, K.</summary>
    [InlineArray(Capacity)]
    public struct ElementRises
    {
        public const int Capacity = 32;
        private double _first;
    }
}
