using LoadTest.Analysis.Numerics;

namespace LoadTest.Analysis.Loads;

/// <summary>Whether the elements that conduct are the elements that were commanded, judged by I/V and not by amperes.</summary>
/// <remarks>
/// A source that holds its current gives the same amperes whatever has dropped out; the conductance cannot hide it.
/// G = I/U with u(G)/G = √((u(I)/I)² + (u(U)/U)²) (JCGM 100:2008, 5.1.6), against Σ1/R of the commanded elements; the two
/// differ when |G − G₀| is above t·u at 95 % (JCGM 100:2008, G.3). Worked: 300 A at 40 V is 7.5 S; with three of 2.5 S
/// each commanded all conduct, with four commanded one is open. The choice of suspects is common practice, no source.
/// </remarks>
public static class ElementHealth
{
    private const double Coverage = 0.95;

    /// <summary>Compares the conductance at the bank with the commanded elements.</summary>
    /// <param name="bank">Elements with the resistances that hold now, warm if warm.</param>
    /// <param name="commanded">Elements that should be closed.</param>
    /// <param name="volts">Volts at the bank's bars, V, above zero by more than three standard uncertainties.</param>
    /// <param name="amperes">Amperes into the bank, A.</param>
    /// <exception cref="ArgumentException">A reading or its uncertainty is not finite.</exception>
    public static ElementHealthFinding Judge(LoadBank bank, ElementSet commanded, Estimate volts, Estimate amperes)
    {
        ArgumentNullException.ThrowIfNull(bank);
        bank.CheckWithin(commanded);
        Given.Estimate("bank volts", volts, "V");
        Given.Estimate("bank amperes", amperes, "A");
        if (!(volts.Value > 3 * volts.StandardUncertainty))
        {
            return new ElementHealthFinding(
                ElementHealthState.CannotSay,
                null,
                ExpectedOf(bank, commanded),
                [],
                $"{Figures.With(volts.Value, "V")} is too little to tell which elements conduct; take a reading under load."
            );
        }

        var measured = Conductance(volts, amperes);
        var expected = ExpectedOf(bank, commanded);
        return Differs(measured, expected)
            ? Suspect(bank, commanded, measured, expected)
            : new ElementHealthFinding(
                ElementHealthState.AsCommanded,
                measured,
                expected,
                [],
                $"{Figures.With(measured.Value, "S", 5)} agrees with {Figures.With(expected.Value, "S", 5)} of {bank.NamesOf(commanded)}."
            );
    }

    private static ElementHealthFinding Suspect(
        LoadBank bank,
        ElementSet commanded,
        Estimate measured,
        Estimate expected
    )
    {
        var suspects = new List<ElementSuspect>();
        for (var index = 0; index < bank.Elements.Count; index++)
        {
            var isClosed = commanded.Contains(index);
            var other = isClosed ? commanded.Without(index) : commanded.With(index);
            if (!Differs(measured, ExpectedOf(bank, other)))
            {
                suspects.Add(new ElementSuspect(index, bank.Elements[index].Id, StandsClosed: !isClosed));
            }
        }

        var found =
            $"{Figures.With(measured.Value, "S", 5)} where {bank.NamesOf(commanded)} makes {Figures.With(expected.Value, "S", 5)}";
        var words = suspects.Count switch
        {
            0 => $"{found}: no single element explains it. Check connections and the resistances in the bench file.",
            1 => $"{found}: {Words(suspects[0])}.",
            _ => $"{found}: {string.Join(", or ", suspects.Select(Words))}. Switch them one by one to tell.",
        };
        var state = suspects.Count == 0 ? ElementHealthState.Unexplained : ElementHealthState.NotAsCommanded;
        return new ElementHealthFinding(state, measured, expected, suspects, words);
    }

    private static string Words(ElementSuspect suspect) =>
        suspect.StandsClosed
            ? $"{suspect.Id} conducts though commanded open"
            : $"{suspect.Id} does not conduct though commanded closed";

    private static bool Differs(Estimate measured, Estimate expected)
    {
        var difference = Combined.Difference(measured, expected);
        var factor = StudentT.TwoSided(Coverage, difference.DegreesOfFreedom);
        return Math.Abs(difference.Value) > factor * difference.StandardUncertainty + 1e-9 * Math.Abs(expected.Value);
    }

    private static Estimate Conductance(Estimate volts, Estimate amperes) => Combined.Ratio(amperes, volts);

    private static Estimate ExpectedOf(LoadBank bank, ElementSet set)
    {
        if (bank.ResistanceEstimateOf(set) is not { } ohms)
        {
            return new Estimate(0, 0);
        }

        var siemens = 1 / ohms.Value;
        return new Estimate(siemens, siemens * siemens * ohms.StandardUncertainty, ohms.DegreesOfFreedom);
    }
}
