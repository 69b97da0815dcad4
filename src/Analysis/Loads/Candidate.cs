namespace LoadTest.Analysis.Loads;

/// <summary>A set in the window, with what it is judged by, in the order it is judged.</summary>
/// <param name="Distance">Elements to switch from the present set.</param>
/// <param name="Wear">Sum of the wear counts of those.</param>
/// <param name="Error">Relative error of the resistance, without sign.</param>
/// <param name="Set">Elements closed.</param>
internal readonly record struct Candidate(int Distance, long Wear, double Error, ElementSet Set)
{
    public bool IsBetterThan(Candidate other) =>
        Distance != other.Distance ? Distance < other.Distance
        : Wear != other.Wear ? Wear < other.Wear
        : Error < other.Error;
}
