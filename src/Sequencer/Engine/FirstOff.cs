using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Planning;
using LoadTest.Sequencer.Ports;
using LoadTest.Sequencer.Text;

namespace LoadTest.Sequencer.Engine;

/// <summary>What became of the load when all-off was sent before anything else: a run before this one may have left it on.</summary>
/// <param name="States">The bank's states as last read.</param>
/// <param name="Facts">What was read since the first all-off, its times counted from there.</param>
public sealed record FirstOff(LoadStates States, OffFacts Facts)
{
    private static readonly TimeSpan LongestLook = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan LookAgainAfter = TimeSpan.FromMilliseconds(100);

    /// <summary>Whether every contact was read open and nothing is commanded.</summary>
    public bool IsOpen => States is { Outcome: CommandOutcome.Ok, Contacts.IsEmpty: true, Commanded.IsEmpty: true };

    /// <summary>Whether the load may be called off: contacts read open, and current gone by another instrument.</summary>
    public bool IsConfirmed => IsOpen && IsCurrentGone == true;

    /// <summary>Whether the reference shunt, on an instrument of its own, and every other sensor show no current; null when it could not be read.</summary>
    public bool? IsCurrentGone =>
        Facts.Says(OffSign.Current) ? false
        : Facts.IsCurrentGone ? true
        : null;

    /// <summary>What was read, in words with units.</summary>
    public string Detail =>
        States.Outcome == CommandOutcome.Ok
            ? OffWords.Of(Facts)
            : $"the bank could not be read: {SentenceText.Clause(States.Detail)}; {OffWords.Of(Facts)}";

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
        var seen = new Dictionary<int, OffReading>();
        // A reply comes later than what it replies to, however short the wire: at least one count of the clock.
        TimeSpan Since() => TimeSpan.FromTicks(Math.Max(1, pump.GetElapsedTime(began).Ticks));
        ContactsRead? contacts = null;
        var ready = new HashSet<string>(StringComparer.Ordinal) { plan.Bench.Bank.InstrumentId };
        while (true)
        {
            load.RemoveLoad();
            output?.Open();
            var states = await load.ReadStatesAsync(CancellationToken.None);
            if (states.Outcome == CommandOutcome.Ok)
                contacts = new ContactsRead(states.Contacts.Union(states.Commanded), Since());
            foreach (var reading in await ReadingsAsync(plan, meters, ready, Since))
                seen[reading.Channel] = reading;
            var found = new FirstOff(
                states,
                new OffFacts(TimeSpan.Zero, default, contacts, [.. seen.OrderBy(s => s.Key).Select(s => s.Value)], null)
            );
            if (found.IsConfirmed || pump.GetElapsedTime(began) >= LongestLook)
                return found;
            await Task.Delay(LookAgainAfter, pump);
        }
    }

    private static async Task<bool> IsReadyAsync(IMeter meter) =>
        (await meter.IdentifyAsync(CancellationToken.None)).Result.Outcome == CommandOutcome.Ok
        && (await meter.ConfigureAsync(CancellationToken.None)).Outcome == CommandOutcome.Ok;

    private static async Task<List<OffReading>> ReadingsAsync(
        RunPlan plan,
        IReadOnlyDictionary<string, IMeter> meters,
        HashSet<string> ready,
        Func<TimeSpan> since
    )
    {
        var found = new List<OffReading>();
        var telling = plan.Bench.Channels.Index().Where(c => NoCurrent.IsSensor(c.Item.Role));
        foreach (var group in telling.GroupBy(c => c.Item.InstrumentId, StringComparer.Ordinal))
        {
            // A meter says nothing before it is known to be the right one, in the right range.
            if (!ready.Contains(group.Key) && await IsReadyAsync(meters[group.Key]))
                ready.Add(group.Key);
            if (!ready.Contains(group.Key))
                continue;
            var channels = group.ToArray();
            var read = await meters[group.Key]
                .ReadAsync([.. channels.Select(c => c.Item.Input)], CancellationToken.None);
            foreach (var ((index, _), indication) in channels.Zip(read))
            {
                if (indication.Flag != IndicationFlag.Good)
                    continue;
                var reading = new Reading(index, indication.Value, indication.Flag, since());
                found.Add(LoadWitness.Of(plan, reading, reading.At, isProved: false, isStuck: false));
            }
        }
        return found;
    }
}
