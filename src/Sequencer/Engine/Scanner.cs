using System.Collections.Immutable;
using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Journal;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Sequencer.Engine;

/// <summary>Polls every instrument on its own and closes a scan each period; the slowest never holds up the others.</summary>
internal sealed class Scanner(
    Bench bench,
    IReadOnlyDictionary<string, IMeter> meters,
    Pump pump,
    long opened,
    Action<RunInput> feed,
    Action<Exception> broke
)
{
    private CancellationTokenSource? _running;

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
            _ = WatchedAsync(
                PollAsync(meters[group.Key], [.. group.Select(c => c.Channel.Input)], [.. group.Select(c => c.Index)])
            );
        _ = WatchedAsync(TickAsync());
    }

    public void Stop()
    {
        _running?.Cancel();
        _running = null;
    }

    private TimeSpan Since(long timestamp) => TimeSpan.FromTicks(timestamp - opened);

    private async Task PollAsync(IMeter meter, ImmutableArray<string> inputs, ImmutableArray<int> channels)
    {
        var cancel = _running!.Token;
        var due = pump.GetTimestamp();
        while (!cancel.IsCancellationRequested)
        {
            var indications = await meter.ReadAsync(inputs, cancel);
            if (cancel.IsCancellationRequested)
                return;
            var readings = ImmutableArray.CreateBuilder<Reading>(channels.Length);
            for (var k = 0; k < channels.Length; k++)
                readings.Add(
                    new Reading(channels[k], indications[k].Value, indications[k].Flag, Since(indications[k].Timestamp))
                );
            feed(new ReadingsArrived(Since(pump.GetTimestamp()), readings.MoveToImmutable()));
            due = await NextAsync(due, cancel);
        }
    }

    private async Task TickAsync()
    {
        var cancel = _running!.Token;
        var due = pump.GetTimestamp();
        while (!cancel.IsCancellationRequested)
        {
            due = await NextAsync(due, cancel);
            feed(new Ticked(Since(pump.GetTimestamp())));
        }
    }

    /// <summary>Waits for the next moment of a fixed raster; moments that have passed are left out.</summary>
    private async Task<long> NextAsync(long due, CancellationToken cancel)
    {
        var now = pump.GetTimestamp();
        var next = due + RunMachine.ScanPeriod.Ticks;
        if (next < now)
            next = now;
        await Task.Delay(TimeSpan.FromTicks(next - now), pump, cancel);
        return next;
    }

    private async Task WatchedAsync(Task work)
    {
        try
        {
            await work;
        }
        catch (OperationCanceledException) { }
        catch (Exception trouble)
        {
            broke(trouble);
        }
    }
}
