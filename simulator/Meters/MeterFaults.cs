namespace LoadTest.Simulator.Meters;

/// <summary>What is wrong with what a meter reads.</summary>
internal sealed class MeterFaults
{
    public bool Frozen { get; set; }
    public bool Overload { get; set; }
    public bool NotANumber { get; set; }
    public bool Reversed { get; set; }
    public double Scale { get; set; } = 1;

    /// <summary>The input as swapped leads and a wrong scale show it.</summary>
    public double Apply(double volts) => volts * Scale * (Reversed ? -1 : 1);

    public void Clear()
    {
        Frozen = Overload = NotANumber = Reversed = false;
        Scale = 1;
    }
}
