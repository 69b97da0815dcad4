using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>Closes a scan each period and, between start and stop, polls every instrument on its own; the slowest never holds up the others.</summary>
internal sealed class Scanner(
    Bench bench,
    IReadOnlyDictionary<string, IMeter> meters,
    Pump pump,
    long opened,
    Action<RunInput> feed,
    Action<TimeSpan> tick,
    Action<Exception> broke
)
{
    private readonly CancellationTokenSource _ticking = new();
    private CancellationTokenSource? _running;
    private string? _sampled;
    private string? _skipped;
    private TimeSpan _every;

    /// <summary>Begins to close scans, also while no channel is read: waits of the run are bounded by them.</summary>
    public void Begin() =>
        _ = RepeatAsync(
            _ =>
            {
                tick(Since(pump.GetTimestamp()));
                return Task.CompletedTask;
            },
            isFirstAtOnce: false,
            static () => RunMachine.ScanPeriod,
            _ticking.Token
        );

    /// <summary>Begins to read the channels.</summary>
    public void Start()
    {
        if (_running is not null)
            return;
        _running = new CancellationTokenSource();
        foreach (
            var group in bench
                .Channels.Select((c, k) => (Channel: c, Index: k))
                .GroupBy(c => c.Channel.InstrumentId, StringComparer.Ordinal)
        )
            _ = RepeatAsync(
                ReadOnce(meters[group.Key], [.. group.Select(c => c.Channel.Input)], [.. group.Select(c => c.Index)]),
                isFirstAtOnce: true,
                () => _sampled == group.Key ? _every : RunMachine.ScanPeriod,
                _running.Token
            );
    }

    /// <summary>Reads the instrument of one channel more often than the others; null ends it.</summary>
    public void Sample(int? channel, TimeSpan every)
    {
        _sampled = channel is { } index ? bench.Channels[index].InstrumentId : null;
        _every = every;
    }

    /// <summary>Leaves one instrument alone; null for none.</summary>
    public void Skip(string? instrument) => _skipped = instrument;

    /// <summary>Reads the channels no longer.</summary>
    public void Stop()
    {
        _running?.Cancel();
        _running = null;
    }

    /// <summary>Neither reads nor closes scans any more.</summary>
    public void End()
    {
        Stop();
        _ticking.Cancel();
    }

    private TimeSpan Since(long timestamp) => TimeSpan.FromTicks(timestamp - opened);

    private Func<CancellationToken, Task> ReadOnce(
        IMeter meter,
        ImmutableArray<string> inputs,
        ImmutableArray<int> channels
    ) =>
        async cancel =>
        {
            if (meter.Name == _skipped)
                return;
            var indications = await meter.ReadAsync(inputs, cancel);
            if (cancel.IsCancellationRequested)
                return;
            var readings = ImmutableArray.CreateBuilder<Reading>(channels.Length);
            for (var k = 0; k < channels.Length; k++)
                readings.Add(
                    new Reading(channels[k], indications[k].Value, indications[k].Flag, Since(indications[k].Timestamp))
                );
            feed(new ReadingsArrived(Since(pump.GetTimestamp()), readings.MoveToImmutable()));
        };

    /// <summary>Does a thing each period; an error in it is told, and the next period comes all the same.</summary>
    private async Task RepeatAsync(
        Func<CancellationToken, Task> deed,
        bool isFirstAtOnce,
        Func<TimeSpan> period,
        CancellationToken cancel
    )
    {
        var due = pump.GetTimestamp();
        try
        {
            if (!isFirstAtOnce)
                due = await NextAsync(due, period(), cancel);
            while (!cancel.IsCancellationRequested)
            {
                try
                {
                    await deed(cancel);
                }
                catch (Exception trouble) when (trouble is not OperationCanceledException)
                {
                    broke(trouble);
                }
                due = await NextAsync(due, period(), cancel);
            }
        }
        catch (OperationCanceledException) { }
    }

    /// <summary>Waits for the next moment of a fixed raster; moments that have passed are left out.</summary>
    private async Task<long> NextAsync(long due, TimeSpan period, CancellationToken cancel)
    {
        var now = pump.GetTimestamp();
        var next = due + period.Ticks;
        if (next < now)
            next = now;
        await Task.Delay(TimeSpan.FromTicks(next - now), pump, cancel);
        return next;
    }
}
