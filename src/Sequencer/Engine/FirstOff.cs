using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>What became of the load when all-off was sent before anything else: a run before this one may have left it on.</summary>
/// <param name="States">The bank's states as last read.</param>
/// <param name="IsCurrentGone">Whether the reference shunt, on an instrument of its own, and every other sensor show no current; null when it could not be read.</param>
/// <param name="Detail">What was read, in words with units.</param>
public sealed record FirstOff(LoadStates States, bool? IsCurrentGone, string Detail)
{
    private static readonly TimeSpan LongestLook = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan LookAgainAfter = TimeSpan.FromMilliseconds(100);

    /// <summary>Whether every contact was read open and nothing is commanded.</summary>
    public bool IsOpen => States is { Outcome: CommandOutcome.Ok, Contacts.IsEmpty: true, Commanded.IsEmpty: true };

    /// <summary>Whether the load may be called off: contacts read open, and current gone by another instrument.</summary>
    public bool IsConfirmed => IsOpen && IsCurrentGone == true;

    /// <summary>Sends all-off, then reads it back, again and again for five seconds while it is not confirmed.</summary>
    /// <param name="plan">The plan about to be run on this bench.</param>
    /// <param name="load">The bank; the first bytes it gets are all-off.</param>
    /// <param name="meters">Every instrument by its id.</param>
    /// <param name="pump">The pump.</param>
    /// <param name="output">The output-enable relay, opened with each all-off; null where the bench has none.</param>
    public static async Task<FirstOff> SendAsync(
        RunPlan plan,
        ILoad load,
        IReadOnlyDictionary<string, IMeter> meters,
        Pump pump,
        IOutputEnable? output = null
    )
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(load);
        ArgumentNullException.ThrowIfNull(meters);
        ArgumentNullException.ThrowIfNull(pump);
        var began = pump.GetTimestamp();
        var ready = new HashSet<string>(StringComparer.Ordinal) { plan.Bench.Bank.InstrumentId };
        while (true)
        {
            load.RemoveLoad();
            output?.Open();
            var states = await load.ReadStatesAsync(CancellationToken.None);
            var (isGone, current) = await CurrentAsync(plan, meters, ready);
            var found = new FirstOff(states, isGone, $"{Contacts(load, states)}, {current}");
            if (found.IsConfirmed || pump.GetElapsedTime(began) >= LongestLook)
                return found;
            await Task.Delay(LookAgainAfter, pump);
        }
    }

    private static string Contacts(ILoad load, LoadStates states) =>
        states.Outcome != CommandOutcome.Ok ? $"{load.Name} could not be read: {states.Detail.TrimEnd('.')}"
        : states.Contacts.IsEmpty && states.Commanded.IsEmpty ? "all contacts read open"
        : $"ELEMENT {states.Contacts.Union(states.Commanded)} STILL ON";

    private static async Task<bool> IsReadyAsync(IMeter meter) =>
        (await meter.IdentifyAsync(CancellationToken.None)).Result.Outcome == CommandOutcome.Ok
        && (await meter.ConfigureAsync(CancellationToken.None)).Outcome == CommandOutcome.Ok;

    private static async Task<(bool? IsGone, string Words)> CurrentAsync(
        RunPlan plan,
        IReadOnlyDictionary<string, IMeter> meters,
        HashSet<string> ready
    )
    {
        var (isAnyShown, hasWitness, words) = (false, false, "no current reading");
        var sensors = plan.Bench.Channels.Index().Where(c => NoCurrent.IsSensor(c.Item.Role));
        foreach (var group in sensors.GroupBy(c => c.Item.InstrumentId, StringComparer.Ordinal))
        {
            // A meter says nothing of current before it is known to be the right one, in the right range.
            if (!ready.Contains(group.Key) && await IsReadyAsync(meters[group.Key]))
                ready.Add(group.Key);
            if (!ready.Contains(group.Key))
                continue;
            var channels = group.ToArray();
            var read = await meters[group.Key]
                .ReadAsync([.. channels.Select(c => c.Item.Input)], CancellationToken.None);
            foreach (var ((index, channel), indication) in channels.Zip(read))
            {
                if (indication.Flag != IndicationFlag.Good)
                    continue;
                isAnyShown |= !NoCurrent.Says(
                    plan,
                    new Reading(index, indication.Value, indication.Flag, TimeSpan.Zero)
                );
                if (channel.Role != ChannelRole.ReferenceShuntDrop)
                    continue;
                var shunt = plan.Bench.ReferenceShunt;
                hasWitness = true;
                words =
                    $"{indication.Value * (shunt.RatedAmperes.Value / shunt.RatedVolts.Value):0.##} A by the reference shunt";
            }
        }
        return (
            isAnyShown ? false
            : hasWitness ? true
            : null,
            words
        );
    }
}
