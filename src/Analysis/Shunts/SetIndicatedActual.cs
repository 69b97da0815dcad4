using LoadTest.Analysis.Uncertainty;

namespace LoadTest.Analysis.Shunts;

/// <summary>Which part of a machine does not agree with the rest.</summary>
public enum Suspect
{
    /// <summary>Set, indicated and actual agree within the tolerance.</summary>
    None,

    /// <summary>Set equals indicated, actual differs: the machine's shunt or its wiring.</summary>
    ShuntOrItsWiring,

    /// <summary>Indicated equals actual, set differs: control or remote.</summary>
    ControlOrRemote,

    /// <summary>Set equals actual, indicated differs: the panel meter.</summary>
    PanelMeter,

    /// <summary>No two of the three agree: more than one part is wrong.</summary>
    MoreThanOne,

    /// <summary>The uncertainties are too wide to tell.</summary>
    CannotSay,
}

/// <summary>Set, indicated and actual current of a machine held against each other.</summary>
/// <param name="Suspect">Which part is wrong.</param>
/// <param name="IndicatedMinusSet">Indicated minus set, A, with u.</param>
/// <param name="ActualMinusIndicated">Actual minus indicated, A, with u.</param>
/// <param name="ActualMinusSet">Actual minus set, A, with u.</param>
/// <param name="Tolerance">What two of the three may differ by, A.</param>
/// <param name="Headline">The finding in a few words, for a picture.</param>
/// <param name="Words">The finding in a sentence or two.</param>
public sealed record SetIndicatedActual(
    Suspect Suspect,
    Estimate IndicatedMinusSet,
    Estimate ActualMinusIndicated,
    Estimate ActualMinusSet,
    double Tolerance,
    string Headline,
    string Words
)
{
    private enum Pair
    {
        Agree,
        Differ,
        Unclear,
    }

    /// <summary>Compare the three currents of one point.</summary>
    /// <param name="set">Set current, A; u from how well the control's mark is read.</param>
    /// <param name="indicated">Current on the panel meter, A; u from its resolution and how it is read.</param>
    /// <param name="actual">Current by the reference shunt, A, with u and ν.</param>
    /// <param name="tolerance">What any two may differ by in a healthy machine, A, above zero.</param>
    /// <param name="coverageProbability">Coverage probability of the differences' expanded uncertainty.</param>
    /// <param name="unit">A, or V where the control sets volts; with volts the suspect is the machine's own voltage sensing.</param>
    /// <exception cref="ArgumentException">A number is NaN, infinite or out of its range.</exception>
    /// <remarks>
    /// Control and panel meter both read the machine's own shunt. A loop closed through a wrong shunt makes set and
    /// indicated agree and actual differ. A pair differs when its difference exceeds the tolerance by more than U, agrees when
    /// it is within it by more than U; between, nothing is said. House rule from how the loop is closed; no source.
    /// Worked number: set 200, indicated 200, actual 204 A, tolerance 2 A, U well below 2 A: the shunt, reading 2 % low.
    /// </remarks>
    public static SetIndicatedActual Compare(
        Estimate set,
        Estimate indicated,
        Estimate actual,
        double tolerance,
        double coverageProbability = Coverage.Conventional,
        string unit = "A"
    )
    {
        Guard.Sane(set, "Set current");
        Guard.Sane(indicated, "Indicated current");
        Guard.Sane(actual, "Actual current");
        Guard.Positive(tolerance, "Set, indicated, actual", $"tolerance in {unit}");
        Estimate si = Difference.Of(indicated, set, "Indicated minus set", unit),
            ia = Difference.Of(actual, indicated, "Actual minus indicated", unit),
            sa = Difference.Of(actual, set, "Actual minus set", unit);
        var suspect = Judge(Relate(si), Relate(ia), Relate(sa));
        return new(
            suspect,
            si,
            ia,
            sa,
            tolerance,
            Name(suspect, si, sa, unit),
            Explain(suspect, si, ia, sa, set, tolerance, unit)
        );

        Pair Relate(Estimate difference)
        {
            var expanded =
                Coverage.Factor(coverageProbability, difference.DegreesOfFreedom) * difference.StandardUncertainty;
            var size = Math.Abs(difference.Value);
            return size + expanded <= tolerance ? Pair.Agree
                : size - expanded > tolerance ? Pair.Differ
                : Pair.Unclear;
        }
    }

    private static Suspect Judge(Pair setIndicated, Pair indicatedActual, Pair setActual) =>
        (setIndicated, indicatedActual, setActual) switch
        {
            (Pair.Agree, Pair.Agree, Pair.Agree) => Suspect.None,
            (Pair.Agree, Pair.Differ, Pair.Differ) => Suspect.ShuntOrItsWiring,
            (Pair.Differ, Pair.Agree, Pair.Differ) => Suspect.ControlOrRemote,
            (Pair.Differ, Pair.Differ, Pair.Agree) => Suspect.PanelMeter,
            (Pair.Differ, Pair.Differ, Pair.Differ) => Suspect.MoreThanOne,
            _ => Suspect.CannotSay,
        };

    private static string Name(Suspect suspect, Estimate si, Estimate sa, string unit) =>
        suspect switch
        {
            Suspect.None => "set, indicated and actual agree",
            Suspect.ShuntOrItsWiring => $"wrong: {Sensing(unit)}, reads {(sa.Value > 0 ? "low" : "high")}",
            Suspect.ControlOrRemote => $"wrong: control or remote, gives {(sa.Value > 0 ? "more" : "less")} than set",
            Suspect.PanelMeter => $"wrong: panel meter, reads {(si.Value > 0 ? "high" : "low")}",
            Suspect.MoreThanOne => "wrong: more than one of shunt, panel meter and control",
            _ => "these uncertainties cannot tell which is wrong",
        };

    private static string Sensing(string unit) =>
        string.Equals(unit, "V", StringComparison.Ordinal)
            ? "the machine's own voltage sensing"
            : "the machine's own shunt or its wiring";

    private static string Explain(
        Suspect suspect,
        Estimate si,
        Estimate ia,
        Estimate sa,
        Estimate set,
        double tolerance,
        string unit
    )
    {
        var numbers =
            $"Indicated − set {Show(si, unit)}, actual − indicated {Show(ia, unit)}, actual − set {Show(sa, unit)}; ± {Figures.Of(tolerance, 3)} {unit} allowed.";
        var share = set.Value == 0 ? "" : $" ({sa.Value / set.Value * 100:+0.0;−0.0} % of set)";
        return suspect switch
        {
            Suspect.None => $"Set, indicated and actual agree. {numbers}",
            Suspect.ShuntOrItsWiring =>
                $"Set and indicated agree, actual does not{share}: {Sensing(unit)} reads {(sa.Value > 0 ? "low" : "high")}. {numbers}",
            Suspect.ControlOrRemote =>
                $"Indicated and actual agree, set does not{share}: the control or the remote is off. {numbers}",
            Suspect.PanelMeter =>
                $"Set and actual agree, the panel meter reads {(si.Value > 0 ? "high" : "low")}: the panel meter is off. {numbers}",
            Suspect.MoreThanOne =>
                $"No two of set, indicated and actual agree: more than one of shunt, panel meter and control is off. {numbers}",
            _ =>
                $"These uncertainties cannot tell which of set, indicated and actual is off, or the differences lie at the tolerance. {numbers}",
        };
    }

    private static string Show(Estimate e, string unit) =>
        $"{e.Value:+0.00;−0.00;0.00} {unit} (u = {e.StandardUncertainty:0.00} {unit})";
}
