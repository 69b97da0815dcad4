using LoadTest.Sequencer.Planning;

namespace LoadTest.Sequencer.Gating;

/// <summary>Judges the second half of the gate: engine running, first with the bank open, then on the proving load.</summary>
public static class EnergiseCheck
{
    /// <summary>Open-circuit voltage: sign first, then size.</summary>
    /// <param name="step">The energise step.</param>
    /// <param name="volts">Volts at the studs by the judging channel; NaN when there is none.</param>
    public static GateFact OpenCircuit(EnergiseStepPlan step, double volts)
    {
        ArgumentNullException.ThrowIfNull(step);
        const string check = "open-circuit voltage";
        var band = step.OpenCircuit;
        if (band.Contains(volts))
            return GateFact.Passed(check, $"{volts:G4} V, within {band.Lower:G4} V to {band.Upper:G4} V");
        return band.Contains(-volts)
            ? GateFact.Refused(
                check,
                "POLARITY",
                $"{volts:G4} V: the size is right and the sign is not. Stop the engine, measure the studs dead, and swap either the weld leads or the sense wires, whichever is wrong."
            )
            : GateFact.Refused(
                check,
                "VOLTS",
                $"{Said(volts, "V")}; mode {step.Mode.Name} allows {band.Lower:G4} V to {band.Upper:G4} V with the bank open. Check that the output is enabled, the engine at speed and the mode selected; otherwise the unit needs repair before a load test."
            );
    }

    /// <summary>Current on the proving load by the reference shunt: sign first, then size.</summary>
    /// <param name="step">The energise step.</param>
    /// <param name="amperes">Amperes by the reference; NaN when there is none.</param>
    public static GateFact ProvingLoad(EnergiseStepPlan step, double amperes)
    {
        ArgumentNullException.ThrowIfNull(step);
        const string check = "proving load";
        var band = step.ProvingCurrent;
        if (band.Contains(amperes))
            return GateFact.Passed(
                check,
                $"{amperes:G4} A on element {step.Proving.Elements}, within {band.Lower:G4} A to {band.Upper:G4} A"
            );
        return band.Contains(-amperes)
            ? GateFact.Refused(
                check,
                "POLARITY",
                $"{amperes:G4} A: the size is right and the sign is not. Remove the load, stop the engine, and swap the sense wires of the reference shunt."
            )
            : GateFact.Refused(
                check,
                "PLAUSIBILITY",
                $"{Said(amperes, "A")}; {band.Lower:G4} A to {band.Upper:G4} A belong to element {step.Proving.Elements} ({step.Proving.Model}). Check shunt ratio and range in the bench file, the element itself, and the mode selected."
            );
    }

    /// <summary>Whether two ways of reading the proving current agree, each within its own error.</summary>
    /// <param name="reference">Amperes by the reference shunt.</param>
    /// <param name="other">Amperes by the bank's own sensor.</param>
    /// <param name="allowed">Most they may differ, A.</param>
    public static GateFact Agreement(double reference, double other, double allowed)
    {
        const string check = "two readings of the proving current";
        var difference = Math.Abs(reference - other);
        return difference <= allowed
            ? GateFact.Passed(
                check,
                $"{reference:G4} A and {other:G4} A, {difference:G3} A apart; {allowed:G3} A are allowed"
            )
            : GateFact.Refused(
                check,
                "DISAGREE",
                $"{Said(reference, "A")} by the reference shunt and {Said(other, "A")} by the bank, which may differ by {allowed:G3} A. One is wired or scaled wrongly: find out which before loading further."
            );
    }

    private static string Said(double value, string unit) =>
        double.IsNaN(value) ? $"no reading in {unit}" : $"{value:G4} {unit}";
}
