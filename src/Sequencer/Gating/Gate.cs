using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Gating;

/// <summary>The first half of the caution gate, judged: engine stopped, nothing energised.</summary>
public static class Gate
{
    /// <summary>How long a gate passed is good for.</summary>
    public static readonly TimeSpan ValidFor = TimeSpan.FromMinutes(30);

    /// <summary>Free space a run must find for its journal, bytes.</summary>
    public const long ReserveBytes = 256L * 1024 * 1024;

    /// <summary>Volts that count as nothing, beside the meter's own error.</summary>
    private const double DeadVolts = 1;

    /// <summary>Part of the rated current that counts as nothing, beside the meter's own error.</summary>
    private const double DeadPart = 0.01;

    /// <summary>What must be acknowledged one by one, by name.</summary>
    public static ImmutableArray<Caution> Cautions => Gating.Cautions.All;

    /// <summary>What a person looks at before anything is started, this bench's sense points among it.</summary>
    public static ImmutableArray<Caution> Inspections(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var points = string.Join("; ", plan.Bench.Channels.Select(c => $"{c.Name}: {c.SensePoint}"));
        return
        [
            new(
                "wiring",
                "Weld leads on the right studs, plus to plus, lugs tight, reference shunt in the path. In order?"
            ),
            new(
                "sense leads",
                $"Sense wires where the bench file says ({points}), none loose, none pinched. In order?"
            ),
            new("covers", "Covers and guards of unit and bank in place, air inlets and outlets free. In order?"),
            new("engine stopped", "The engine is stopped and the weld output disabled. Is that so?"),
        ];
    }

    /// <summary>Every static check, in order; the run is refused unless all are passed.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="snapshot">The bench as found.</param>
    /// <param name="today">Date of the run, where the bench stands.</param>
    public static ImmutableArray<GateFact> CheckStatic(RunPlan plan, BenchSnapshot snapshot, DateOnly today)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(snapshot);
        return
        [
            CheckPlan(plan),
            .. snapshot.PortsBusy.Select(p => GateFact.Refused("line", "PORTBUSY", p)),
            Disk(snapshot.FreeBytes),
            .. snapshot.Instruments.SelectMany(i => Instrument(plan.Bench, i)),
            .. plan
                .Bench.Wired.Where(i => snapshot.Instruments.All(s => s.InstrumentId != i.Id))
                .Select(i => GateFact.Refused($"identity of {i.Id}", "IDENTITY", $"{i.Id} was not asked who it is.")),
            .. CalibrationCheck.Facts(plan, today),
            .. BankFacts(plan.Bench, snapshot),
            .. Output(plan.Bench, snapshot.Output),
            .. Dead(plan, snapshot),
        ];
    }

    /// <summary>Whether the plan may be run at all: ratings kept, trip limits given.</summary>
    public static GateFact CheckPlan(RunPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var first = plan.Findings.FirstOrDefault(f => f.Severity == Severity.Error);
        if (first is null)
            return GateFact.Passed("plan", $"{plan.Steps.Length} steps within every rating");
        var count = plan.Findings.Count(f => f.Severity == Severity.Error);
        var more = count > 1 ? $" {count - 1} more such findings: run the plan command to see them." : "";
        var isLimit = BenchChecks.TripLimits(plan.Profile, plan.Nameplate).Contains(first);
        return GateFact.Refused("plan", isLimit ? "LIMIT" : "RATING", $"{first}{more}");
    }

    private static GateFact Disk(long free) =>
        free >= ReserveBytes
            ? GateFact.Passed(
                "disk space",
                $"at least {Mebibytes(ReserveBytes)} MiB free; readings become durable in groups within {JournalPromise.Exposure.TotalMilliseconds:0} ms, every intent to switch before its command"
            )
            : GateFact.Refused(
                "disk space",
                "DISK",
                $"{Mebibytes(free)} MiB are free where the journal goes, at least {Mebibytes(ReserveBytes)} MiB are needed. Free some space or choose another folder."
            );

    private static string Mebibytes(long bytes) => $"{bytes / (1024 * 1024)}";

    private static IEnumerable<GateFact> Instrument(Bench bench, InstrumentSnapshot found)
    {
        var identity = found.Identity;
        var instrument = bench.Instrument(found.InstrumentId);
        yield return identity.Result.Outcome == CommandOutcome.Ok
            ? GateFact.Passed($"identity of {found.InstrumentId}", identity.Said)
            : GateFact.Refused(
                $"identity of {found.InstrumentId}",
                identity.IsWrongMap ? "MAP" : "IDENTITY",
                identity.Result.Detail
            );
        if (found.Configured is { } configured)
        {
            yield return configured.Outcome == CommandOutcome.Ok
                ? GateFact.Passed($"settings of {found.InstrumentId}", Settings(instrument))
                : GateFact.Refused($"settings of {found.InstrumentId}", "CONFIG", configured.Detail);
        }
    }

    private static string Settings(BenchInstrument instrument) =>
        instrument.Definition.Switching switch
        {
            { HasWatchdog: true } s => $"read back; communication watchdog armed at {s.WatchdogSeconds} s",
            { } => "read back; the bank has no communication watchdog: nothing drops the load when this computer dies",
            null => "set, read back, error queue empty",
        };

    private static IEnumerable<GateFact> BankFacts(Bench bench, BenchSnapshot snapshot)
    {
        var off = snapshot.Off;
        if (off.Outcome != CommandOutcome.Ok)
        {
            yield return GateFact.Refused(
                "every element off",
                "IDENTITY",
                $"The bank's states could not be read. {off.Detail}"
            );
            yield break;
        }
        yield return off.Commanded.IsEmpty && off.Contacts.IsEmpty
            ? GateFact.Passed("every element off", "commanded off, contacts open")
            : GateFact.Refused(
                "every element off",
                "STUCK",
                $"Elements commanded on: {off.Commanded}; contacts closed: {off.Contacts}; none may be after all-off. Keep the engine stopped and have the contactors looked at."
            );
        yield return Fan(snapshot);
        if (!bench.Instrument(bench.Bank.InstrumentId).Definition.Switching!.HasWatchdog)
            yield return GateFact.Passed(
                "communication watchdog",
                "none: nothing drops the load when this computer dies. A person stays at the hard-wired stop"
            );
        yield return (snapshot.WithFan.IsOverTemperature ?? off.IsOverTemperature) switch
        {
            true => GateFact.Refused(
                "bank temperature",
                "TEMP",
                "The bank says over-temperature. Let its fan run until it is cool."
            ),
            false => GateFact.Passed("bank temperature", "no over-temperature"),
            null => GateFact.Passed("bank temperature", "the bank cannot tell"),
        };
        yield return off.IsStopHealthy switch
        {
            false => GateFact.Refused(
                "hard-wired stop",
                "ESTOP",
                "The bank's hard-wired stop is pressed or its circuit is open. Release it, by the person who pressed it."
            ),
            true => GateFact.Passed("hard-wired stop", "circuit healthy"),
            null => GateFact.Passed("hard-wired stop", $"bank {bench.Bank.InstrumentId} cannot tell; tried by hand"),
        };
    }

    private static IEnumerable<GateFact> Output(Bench bench, RelayState? found)
    {
        if (bench.OutputEnable is not { } relay)
            yield break;
        const string Check = "output-enable relay open";
        yield return found switch
        {
            { Result.Outcome: CommandOutcome.Ok, IsClosed: false } => GateFact.Passed(
                Check,
                $"{relay.Id}: contact open"
            ),
            { Result.Outcome: CommandOutcome.Ok } => GateFact.Refused(
                Check,
                "STUCK",
                $"{relay.Id} was told to open and its contact is closed. Keep the engine stopped and have the relay looked at."
            ),
            { Result: var result } => GateFact.Refused(
                Check,
                "IDENTITY",
                $"The output-enable relay could not be read. {result.Detail}"
            ),
            null => GateFact.Refused(Check, "IDENTITY", $"{relay.Id} was not asked about its output-enable relay."),
        };
    }

    private static GateFact Fan(BenchSnapshot snapshot)
    {
        if (snapshot.FanOn.Outcome != CommandOutcome.Ok)
            return GateFact.Refused("fan", "FAN", $"The fan could not be started. {snapshot.FanOn.Detail}");
        return snapshot.WithFan.Outcome != CommandOutcome.Ok
            ? GateFact.Refused("fan", "FAN", $"Air flow could not be read. {snapshot.WithFan.Detail}")
            : snapshot.WithFan.HasAirFlow switch
            {
                true => GateFact.Passed("fan", "runs, air flows"),
                false => GateFact.Refused(
                    "fan",
                    "FAN",
                    "The fan was told to run and no air flows. Look at fan, fuse and air path; without air the elements burn out in seconds."
                ),
                null => GateFact.Passed("fan", "told to run; the bank cannot tell whether air flows"),
            };
    }

    /// <summary>Volts and amperes of every electrical channel, which must be nothing while the engine stands.</summary>
    private static IEnumerable<GateFact> Dead(RunPlan plan, BenchSnapshot snapshot)
    {
        for (var index = 0; index < plan.Bench.Channels.Length; index++)
        {
            var channel = plan.Bench.Channels[index];
            if (ChannelRoles.IsTemperature(channel.Role))
                continue;
            var found = snapshot
                .Channels.Where(c => c.Channel == index)
                .Select(c => (Indication?)c.Indication)
                .FirstOrDefault();
            yield return Dead(plan, channel, found);
        }
    }

    private static GateFact Dead(RunPlan plan, Channel channel, Indication? found)
    {
        var check = $"nothing live at {channel.Name}";
        if (found is not { } indication || indication.Flag != IndicationFlag.Good)
        {
            var what = found is { } flagged ? $"gave no number ({flagged.Flag})" : "was not read";
            return GateFact.Refused(
                check,
                "LIVE",
                $"Channel {channel.Name} {what}, so nobody knows that it is dead. Look at its wiring and range."
            );
        }
        var input = plan.Bench.Instrument(channel.InstrumentId).Definition.Input(channel.Input);
        var error =
            2
            * (input.Specification.OfRange * input.Range + Math.Max(input.Specification.Counts, 1) * input.Resolution);
        var limit = error + Nothing(plan, channel.Role);
        var unit = UnitText.Usual(input.Unit);
        // In the step of the limit's second digit, so that a dead channel reads 0.0 and not a power of ten.
        var (factor, prefix) = limit < 0.1 ? (1000, "m") : (1, "");
        var decimals = Math.Clamp(1 - (int)Math.Floor(Math.Log10(limit * factor)), 0, 6);
        string Said(double value) => $"{Math.Round(value * factor, decimals) + 0.0:0.######} {prefix}{unit}";
        return Math.Abs(indication.Value) <= limit
            ? GateFact.Passed(check, $"{Said(indication.Value)}, within ± {Said(limit)}")
            : GateFact.Refused(
                check,
                "LIVE",
                $"{Said(indication.Value)} with the engine stopped; at most ± {Said(limit)} count as dead. Something feeds the studs, or the channel is wired elsewhere: find it before going on."
            );
    }

    private static double Nothing(RunPlan plan, ChannelRole role)
    {
        var amperes = DeadPart * plan.Nameplate.Modes.Max(m => m.RatedAmperes.Value);
        var shunt = plan.Bench.ReferenceShunt;
        return role switch
        {
            ChannelRole.BankVolts or ChannelRole.StudVolts => DeadVolts,
            ChannelRole.ReferenceShuntDrop => amperes * (shunt.RatedVolts / shunt.RatedAmperes).Value,
            ChannelRole.UnitShuntDrop => amperes * plan.Nameplate.Shunt.RatedRatio,
            _ => amperes,
        };
    }
}
