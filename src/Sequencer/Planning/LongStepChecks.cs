using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>What heat runs, cool-downs by temperature and auxiliary loads need of nameplate, bench and trip limits.</summary>
internal static class LongStepChecks
{
    private static readonly Measurand[] Temperatures =
    [
        Measurand.UnitTemperature,
        Measurand.BankOutletTemperature,
        Measurand.LugTemperature,
        Measurand.ReferenceShuntTemperature,
    ];

    public static void Check(LoadProfile profile, Nameplate nameplate, Bench bench, List<Finding> findings)
    {
        Trips(profile, bench, findings);
        foreach (var step in ProfileWalk.All(profile))
        {
            switch (step)
            {
                case HeatRunStep heat:
                    HeatRun(heat, profile, bench, findings);
                    break;
                case CoolDownStep cool:
                    foreach (var to in cool.To)
                        Needs(bench, MeasurandText.RoleOf(to.Measurand), cool.Place, findings);
                    break;
                case AuxiliaryStep:
                    Auxiliary(step, profile, nameplate, bench, findings);
                    break;
                case WeldAndAuxiliaryStep:
                    Auxiliary(step, profile, nameplate, bench, findings);
                    if (nameplate.Auxiliary is { WithWeld.IsEmpty: true })
                    {
                        Error(
                            findings,
                            step.Place,
                            $"The nameplate {nameplate.Name} does not say what both outputs carry together. Add `with weld` to its `auxiliary output`, or leave the step out."
                        );
                    }
                    break;
            }
        }
    }

    // A trip on a channel that is not there would protect nothing.
    private static void Trips(LoadProfile profile, Bench bench, List<Finding> findings)
    {
        foreach (var rule in profile.Trips.Where(t => TripPlanner.IsSide(t.Measurand)))
        {
            if (bench.ChannelFor(MeasurandText.RoleOf(rule.Measurand)) is null)
            {
                Error(
                    findings,
                    rule.Place,
                    $"The trip on {Words.For(rule.Measurand)} has no channel on the bench {bench.Name}, so it would protect nothing. Add the channel, or take the trip out."
                );
            }
        }
    }

    private static void HeatRun(HeatRunStep heat, LoadProfile profile, Bench bench, List<Finding> findings)
    {
        Needs(bench, ChannelRole.UnitTemperature, heat.Place, findings);
        if (heat.Expect.Any(e => e.Measurand == Measurand.UnitTemperatureRise))
            Needs(bench, ChannelRole.AirTemperature, heat.Place, findings);
        foreach (var measurand in Temperatures)
        {
            if (
                bench.ChannelFor(MeasurandText.RoleOf(measurand)) is not null
                && profile.Trips.All(t => t.Measurand != measurand || t.Above is null)
            )
            {
                Error(
                    findings,
                    heat.Place,
                    $"A heat run needs a trip on every temperature the bench reads, and `{Words.For(measurand)}` has none. Put for example \"{Words.For(measurand)}: above 120 °C\" under \"trip\", as the unit's and the bank's papers allow."
                );
            }
        }
    }

    private static void Auxiliary(
        ProfileStep step,
        LoadProfile profile,
        Nameplate nameplate,
        Bench bench,
        List<Finding> findings
    )
    {
        if (nameplate.Auxiliary is null)
            Error(
                findings,
                step.Place,
                $"The nameplate {nameplate.Name} has no `auxiliary output`. Leave the step out."
            );
        if (nameplate.Auxiliary is { Phases: 3 })
        {
            Error(
                findings,
                step.Place,
                "The auxiliary output is three-phase and the bench's AC elements are single-phase. Leave the step out."
            );
        }
        if (bench.AuxiliaryBank is null)
        {
            Error(
                findings,
                step.Place,
                $"The bench {bench.Name} has no `auxiliary bank`, so nothing can load the auxiliary output. Add it, or leave the step out."
            );
        }
        foreach (
            var role in new[]
            {
                ChannelRole.AuxiliaryVolts,
                ChannelRole.AuxiliaryAmperes,
                ChannelRole.AuxiliaryFrequency,
            }
        )
            Needs(bench, role, step.Place, findings);
        foreach (
            var measurand in new[]
            {
                Measurand.AuxiliaryVoltage,
                Measurand.AuxiliaryCurrent,
                Measurand.AuxiliaryFrequency,
            }
        )
        {
            if (profile.Trips.All(t => t.Measurand != measurand))
            {
                Error(
                    findings,
                    step.Place,
                    $"An auxiliary load needs a trip on {Words.For(measurand)}; none has a default. Put \"{Words.For(measurand)}: above …\" under \"trip\"."
                );
            }
        }
    }

    private static void Needs(Bench bench, ChannelRole role, Place place, List<Finding> findings)
    {
        if (bench.ChannelFor(role) is null)
        {
            Error(
                findings,
                place,
                $"This step needs a channel in the role \"{ChannelRoles.Word(role)}\" and the bench {bench.Name} has none. Add the channel to the bench file or leave the step out."
            );
        }
    }

    private static void Error(List<Finding> findings, Place place, string message) =>
        findings.Add(new Finding(place, Severity.Error, message));
}
