using System.Collections.Immutable;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Profiles;

/// <summary>Trips that certain steps ask for, because nothing that protects has a default.</summary>
internal static class StepTrips
{
    /// <summary>Adds an error for each step whose trips are not all given.</summary>
    internal static void Check(ImmutableArray<ProfileStep> steps, ImmutableArray<TripRule> trips, FindingList findings)
    {
        foreach (var step in steps)
        {
            foreach (var measurand in Needed(step).Where(m => trips.All(t => t.Measurand != m)))
            {
                var word = MeasurandText.Word(measurand);
                findings.Error(
                    step.Place,
                    $"This step needs a trip on the {word}; none has a default. Put for example `{word}: {Example(measurand)}` under `trip`."
                );
            }
        }
    }

    private static Measurand[] Needed(ProfileStep step) =>
        step switch
        {
            HeatRunStep => [Measurand.UnitTemperature],
            AuxiliaryStep or WeldAndAuxiliaryStep =>
            [
                Measurand.AuxiliaryVoltage,
                Measurand.AuxiliaryCurrent,
                Measurand.AuxiliaryFrequency,
            ],
            _ => [],
        };

    private static string Example(Measurand measurand) =>
        measurand switch
        {
            Measurand.UnitTemperature => "above 120 °C",
            Measurand.AuxiliaryVoltage => "above 115 % of rated auxiliary voltage",
            Measurand.AuxiliaryCurrent => "above 45 A",
            _ => "below 85 % of rated frequency or above 110 % of rated frequency",
        };
}
