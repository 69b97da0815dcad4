using LoadTest.Analysis;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Profiles;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Planning;

/// <summary>Whether profile, unit and bench belong together at all: kind, trip limits, channels, contactor voltage, watchdog.</summary>
internal static class BenchChecks
{
    public static void Check(LoadProfile profile, Nameplate nameplate, Circuit circuit, List<Finding> findings)
    {
        Kind(profile, nameplate, findings);
        findings.AddRange(TripLimits(profile, nameplate));
        foreach (var mode in ModesUsed(profile, nameplate))
            Contactors(circuit, mode, findings);
        FastChannels(circuit, findings);
        JudgingChannels(profile, circuit, findings);
        Certificates(circuit, findings);
        Watchdog(circuit, findings);
        LongStepChecks.Check(profile, nameplate, circuit.Bench, findings);
    }

    /// <summary>What is missing or wrong in the trip limits themselves.</summary>
    public static IReadOnlyList<Finding> TripLimits(LoadProfile profile, Nameplate nameplate)
    {
        var findings = new List<Finding>();
        foreach (var mode in ModesUsed(profile, nameplate))
        {
            Trip(profile, nameplate, mode, Measurand.OutputVoltage, findings);
            Trip(profile, nameplate, mode, Measurand.OutputCurrent, findings);
        }
        return [.. findings.Distinct()];
    }

    private static void Kind(LoadProfile profile, Nameplate nameplate, List<Finding> findings)
    {
        if (!string.Equals(profile.For, nameplate.Kind, StringComparison.OrdinalIgnoreCase))
        {
            findings.Add(
                new(
                    profile.Place,
                    Severity.Error,
                    $"The profile is for \"{profile.For}\", the nameplate {nameplate.Name} is of kind \"{nameplate.Kind}\". Choose a profile made for this kind of unit."
                )
            );
        }
    }

    private static IEnumerable<UnitMode> ModesUsed(LoadProfile profile, Nameplate nameplate)
    {
        var names = ProfileWalk
            .All(profile)
            .OfType<EnergiseStep>()
            .Select(s => s.Mode ?? nameplate.Modes[0].Name)
            .ToHashSet(StringComparer.Ordinal);
        return nameplate.Modes.Where(m => names.Contains(m.Name));
    }

    private static void Trip(
        LoadProfile profile,
        Nameplate nameplate,
        UnitMode mode,
        Measurand measurand,
        List<Finding> findings
    )
    {
        var name = Words.For(measurand);
        var rules = profile.Trips.Where(t => t.Measurand == measurand && t.Above is not null).ToArray();
        if (rules.Length == 0)
        {
            findings.Add(
                new(
                    profile.Place,
                    Severity.Error,
                    $"No trip limit above for {name}. Trip limits are given, never assumed: put \"{name}: above …\" under \"trip\"."
                )
            );
        }
        var wanted = measurand == Measurand.OutputVoltage ? Unit.Volt : Unit.Ampere;
        foreach (var rule in rules)
        {
            if (
                AmountResolver.Resolve(rule.Above!, nameplate, mode) is not { Value: > 0 } limit
                || limit.Unit != wanted
            )
            {
                findings.Add(
                    new(
                        rule.Place,
                        Severity.Error,
                        $"The trip limit of {name} does not come to a value above 0 {Words.For(wanted)} in mode {mode.Name}. Give it in {Words.For(wanted)} or as a percentage of the rated value."
                    )
                );
            }
        }
    }

    private static void Contactors(Circuit circuit, UnitMode mode, List<Finding> findings)
    {
        var bank = circuit.Bench.Bank;
        if (mode.HighestOpenCircuit > bank.ContactorVolts)
        {
            findings.Add(
                new(
                    bank.Place,
                    Severity.Error,
                    $"The bank's contactors break {Figures.With(bank.ContactorVolts.Value, "V", 4)} DC and mode {mode.Name} reaches {Figures.With(mode.HighestOpenCircuit.Value, "V", 4)}. Use a bank whose contactors are rated for that DC voltage: an arc that is not broken keeps the load on."
                )
            );
        }
    }

    private static void FastChannels(Circuit circuit, List<Finding> findings)
    {
        if (circuit.FastVolts is null)
            Missing(circuit.Bench.Place, "volts", "bank volts or stud volts", findings);
        if (circuit.FastAmperes is null)
            Missing(circuit.Bench.Place, "amperes", "bank amperes or reference shunt drop", findings);
    }

    private static void Missing(Place place, string what, string roles, List<Finding> findings) =>
        findings.Add(
            new(
                place,
                Severity.Error,
                $"No fast channel reads {what}, so no {what} can trip. Mark a channel in the role {roles} as fast."
            )
        );

    private static void JudgingChannels(LoadProfile profile, Circuit circuit, List<Finding> findings)
    {
        var meters = new MeterPrediction(circuit.Bench);
        foreach (var step in ProfileWalk.All(profile))
        {
            if (
                step
                is not (
                    NoLoadStep
                    or CurveStep
                    or LoadLineStep
                    or ShuntSweepStep
                    or HoldStep
                    or HeatRunStep
                    or TransientStep
                    or WeldAndAuxiliaryStep
                )
            )
                continue;
            Needs(ChannelRole.StudVolts, "stud volts");
            if (step is not NoLoadStep)
                Needs(ChannelRole.ReferenceShuntDrop, "reference shunt drop");
            if (step is ShuntSweepStep || ProfileWalk.Expectations(step).Any(e => e.Measurand == Measurand.ShuntRatio))
                Needs(ChannelRole.UnitShuntDrop, "unit shunt drop");

            void Needs(ChannelRole role, string name)
            {
                if (meters.Judging(role) is null)
                {
                    findings.Add(
                        new(
                            step.Place,
                            Severity.Error,
                            $"This step needs a channel in the role \"{name}\" and the bench {circuit.Bench.Name} has none. Add the channel to the bench file or leave the step out."
                        )
                    );
                }
            }
        }
    }

    private static void Certificates(Circuit circuit, List<Finding> findings)
    {
        var bench = circuit.Bench;
        if (bench.ReferenceShunt.Certificate is null)
            Uncertified(bench.ReferenceShunt.Place, $"Reference shunt {bench.ReferenceShunt.SerialNumber}", findings);
        var judging = bench.Channels.Where(Judges).Select(c => c.InstrumentId).Distinct(StringComparer.Ordinal);
        foreach (var instrument in judging.Select(bench.Instrument).Where(i => i.Certificate is null))
            Uncertified(instrument.Place, $"Instrument {instrument.Id}", findings);
    }

    /// <summary>Whether verdicts stand on a channel: slow and electrical; a cooling-air temperature only watches.</summary>
    public static bool Judges(Channel channel) =>
        !channel.IsFast && (channel.Role == ChannelRole.UnitTemperature || !ChannelRoles.IsTemperature(channel.Role));

    private static void Uncertified(Place place, string what, List<Finding> findings) =>
        findings.Add(
            new(
                place,
                Severity.Warning,
                $"{what} has no calibration certificate: only its data sheet or class stands behind the readings, and no result is traceable. Enter its certificate."
            )
        );

    private static void Watchdog(Circuit circuit, List<Finding> findings)
    {
        var instrument = circuit.Bench.Instrument(circuit.Bench.Bank.InstrumentId);
        if (instrument.Definition.Switching is { HasWatchdog: false })
        {
            findings.Add(
                new(
                    instrument.Place,
                    Severity.Warning,
                    $"The bank {instrument.Id} has no communication watchdog: nothing drops the load when this computer dies. Stay at the hard-wired stop, or fit a watchdog relay."
                )
            );
        }
    }
}
