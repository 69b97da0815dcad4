using LoadTest.Analysis.Quantities;

namespace LoadTest.Analysis.Loads;

/// <summary>What to do about a measured resistance: keep the set, change it, or leave it to a person.</summary>
public abstract record LoadCorrection
{
    private protected LoadCorrection() { }

    /// <summary>Corrects a standing set by the resistance measured at the bank, a bounded number of times.</summary>
    /// <param name="bank">The bank the standing set was solved with.</param>
    /// <param name="request">What was wanted.</param>
    /// <param name="standing">The set that is closed now.</param>
    /// <param name="measured">Resistance measured at the bank's bars, Ω, with uncertainty.</param>
    /// <param name="alreadyMade">Corrections made in this load step so far.</param>
    /// <param name="bounds">How many and how large corrections may be.</param>
    /// <exception cref="ArgumentException">The measured resistance is not finite and above zero.</exception>
    /// <remarks>
    /// Warming moves all elements alike, so each is scaled by measured over predicted and the set solved again. It looks at
    /// resistance only: chasing amperes would fight the source's own control. Common practice, no source. Worked: 0.1 Ω
    /// wanted and closed, 0.103 Ω measured, elements scaled by 1.03, one small element more.
    /// </remarks>
    public static LoadCorrection Next(
        LoadBank bank,
        LoadRequest request,
        LoadFound standing,
        Estimate measured,
        int alreadyMade,
        CorrectionBounds bounds
    )
    {
        ArgumentNullException.ThrowIfNull(bank);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(standing);
        ArgumentNullException.ThrowIfNull(bounds);
        Given.Estimate("measured resistance", measured, "Ω");
        Given.NotNegative("largest correction", bounds.MostRelative, "of the resistance");
        if (!(measured.Value > 0))
        {
            throw new ArgumentException(
                $"A measured resistance of {Figures.With(measured.Value, "Ω")} was given; it has to be above zero."
            );
        }

        var error = measured.Value / standing.Wanted.Value - 1;
        var found = $"{Figures.With(measured.Value, "Ω", 5)} measured, {error:+0.00%;−0.00%} from {standing.Wanted}";
        if (WithinTolerance(bank, request, standing.Wanted, measured))
        {
            return new KeepLoad($"{found}: within the tolerance.");
        }

        if (Math.Abs(measured.Value - standing.Wanted.Value) <= 2 * measured.StandardUncertainty)
        {
            return new KeepLoad($"{found}: less than the expanded uncertainty (k = 2) of the measurement.");
        }

        var ratio = measured.Value / standing.Achieved.Value;
        if (Math.Abs(ratio - 1) > bounds.MostRelative)
        {
            return new LeaveLoad(
                $"{found}: the elements are {ratio - 1:+0.0%;−0.0%} from what they should be; "
                    + $"up to {bounds.MostRelative:0.0%} is corrected.",
                "Check for an element stuck open or closed, loose lugs, and the resistances in the bench file."
            );
        }

        return alreadyMade >= bounds.MostCorrections
            ? new LeaveLoad(
                $"{found}: {alreadyMade} corrections were made, {bounds.MostCorrections} are allowed.",
                "Let the bank warm through, or allow a wider tolerance."
            )
            : Changed(bank, request, standing, ratio, found);
    }

    private static LoadCorrection Changed(
        LoadBank bank,
        LoadRequest request,
        LoadFound standing,
        double ratio,
        string found
    )
    {
        var warm = new LoadBank(bank.Elements.Select(element => element.Scaled(ratio)));
        var again = request with { Target = new WantedResistance(standing.Wanted), Present = standing.Set };
        return LoadSolver.Solve(warm, again) switch
        {
            LoadFound better when better.Set != standing.Set => new ChangeLoad(better, warm),
            LoadNotFound none => new LeaveLoad($"{found}: no set of the warm elements fits. {none.Reason}", none.Help),
            _ => new KeepLoad($"{found}: no other set of the warm elements is nearer."),
        };
    }

    private static bool WithinTolerance(LoadBank bank, LoadRequest request, Ohms wanted, Estimate measured)
    {
        var problem = new LoadProblem(bank, request with { Target = new WantedResistance(wanted) });
        var siemens = 1 / measured.Value;
        return siemens >= problem.Low && siemens <= problem.High;
    }
}

/// <summary>Leave the set as it is.</summary>
/// <param name="Reason">Why, with numbers.</param>
public sealed record KeepLoad(string Reason) : LoadCorrection;

/// <summary>Change to another set.</summary>
/// <param name="Load">The set and how to get there.</param>
/// <param name="Bank">The bank with its elements scaled to the measured resistance.</param>
public sealed record ChangeLoad(LoadFound Load, LoadBank Bank) : LoadCorrection;

/// <summary>Correct nothing; a person has to look.</summary>
/// <param name="Reason">Why, with numbers.</param>
/// <param name="Help">What to do.</param>
public sealed record LeaveLoad(string Reason, string Help) : LoadCorrection;
