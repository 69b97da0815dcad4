using System.Collections.Immutable;
using LoadTest.Instruments.Meters;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Probing;

/// <summary>Looks at every instrument at once: who it is, how it is set, what it reads, whether its elements are off.</summary>
/// <param name="stand">The lines.</param>
/// <param name="pump">The pump they are on.</param>
/// <param name="ask">Asks a person for what a hand meter reads; null when nobody is asked.</param>
internal sealed class Probe(ProbeStand stand, Pump pump, Func<string, CancellationToken, Task<string?>>? ask)
{
    private const int MostIdentifications = 3;

    /// <summary>One look; each line is worked off one question after the other, all lines side by side.</summary>
    public async Task<ImmutableArray<ProbeResult>> LookAsync(CancellationToken cancel)
    {
        var wired = stand
            .Instruments.Where(i => i.Connected is not null)
            .ToDictionary(i => i.Id, i => LookAsync(i, cancel), StringComparer.Ordinal);
        var results = ImmutableArray.CreateBuilder<ProbeResult>();
        foreach (var one in stand.Instruments)
            results.Add(wired.TryGetValue(one.Id, out var look) ? await look : await ByHandAsync(one, cancel));
        return results.ToImmutable();
    }

    private async Task<ProbeResult> LookAsync(ProbedInstrument one, CancellationToken cancel)
    {
        var (meter, load) = (one.Connected!.Meter, one.Connected.Load);
        // The first question of a process may come too late by the time it took to load code; asking who it is harms nobody.
        var identity = await meter.IdentifyAsync(cancel);
        for (var k = 1; k < MostIdentifications && identity.Result.Outcome != CommandOutcome.Ok; k++)
        {
            // A late answer is waited out first.
            await Task.Delay(2 * one.Instrument.Definition.Deadline, pump, CancellationToken.None);
            identity = await meter.IdentifyAsync(cancel);
        }
        // Of one that is not who it should be, nothing else means anything.
        if (identity.Result.Outcome != CommandOutcome.Ok)
            return new ProbeResult(one, identity, [], [], load is null ? null : Unread(identity.Result.Detail));
        LoadStates? states = load is null ? null : await load.ReadStatesAsync(cancel);
        var inspected = one.Connected.Inspect is { } inspect ? await inspect.InspectAsync(cancel) : [];
        return new ProbeResult(
            one,
            identity,
            inspected,
            await one.Connected.ReadAsFoundAsync(Inputs(one), cancel),
            states
        );
    }

    private async Task<ProbeResult> ByHandAsync(ProbedInstrument one, CancellationToken cancel)
    {
        if (ask is null || one.Trouble.Length > 0)
            return new ProbeResult(
                one,
                null,
                [],
                [],
                one.Instrument.Definition.Switching is null ? null : Unread(one.Trouble)
            );
        var meter = new HandMeter(one.Instrument, ask, pump);
        var identity = await meter.IdentifyAsync(cancel);
        return new ProbeResult(
            one,
            identity,
            [],
            identity.Result.Outcome == CommandOutcome.Ok ? await meter.ReadAsync(Inputs(one), cancel) : [],
            null
        );
    }

    private static ImmutableArray<string> Inputs(ProbedInstrument one) =>
        [.. one.Instrument.Definition.Inputs.Select(i => i.Name)];

    private static LoadStates Unread(string why) =>
        new(CommandOutcome.Unknown, why, default, default, null, null, null, 0);
}
