namespace LoadTest.Simulator;

/// <summary>A write of the bank's element coils, as it came over the wire.</summary>
/// <param name="At">When, since the bench was made.</param>
/// <param name="Elements">What it asked to be closed, bit k = element k, together with what it left alone.</param>
public readonly record struct LoadCommand(TimeSpan At, uint Elements)
{
    /// <summary>True when it asked for every element to be off.</summary>
    public bool IsAllOff => Elements == 0;
}
