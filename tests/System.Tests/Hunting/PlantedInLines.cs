using LoadTest.Analysis.Loads;
using LoadTest.Instruments.Line;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>A line that comes back without a word of what is owed on it.</summary>
internal sealed class ForgetfulLine : ILine
{
    private readonly ILine _line;

    public ForgetfulLine(ILine line)
    {
        _line = line;
        line.Received = (bytes, stamp) => Received?.Invoke(bytes, stamp);
        line.Lost = reason => Lost?.Invoke(reason);
        line.Returned = () => Returned?.Invoke();
    }

    public string Name => _line.Name;

    public bool IsHalfDuplex => _line.IsHalfDuplex;

    public Action<ReadOnlyMemory<byte>, long>? Received { get; set; }

    public Action<string>? Lost { get; set; }

    /// <summary>Never called.</summary>
    public Action<Action>? Reopened { get; set; }

    public Action? Returned { get; set; }

    public void Send(ReadOnlySpan<byte> bytes) => _line.Send(bytes);
}

/// <summary>A bank whose states are not believed until three seconds after the load was removed.</summary>
internal sealed class LateReader(ILoad load, Pump pump) : DecoratedLoad(load)
{
    private static readonly TimeSpan Late = TimeSpan.FromSeconds(3);
    private bool _wasOn;
    private long? _removed;

    public override Task<CommandResult> SwitchAsync(
        ElementSet elements,
        EnergisePermit permit,
        CancellationToken cancel
    )
    {
        _wasOn |= !elements.IsEmpty;
        return base.SwitchAsync(elements, permit, cancel);
    }

    public override void RemoveLoad()
    {
        base.RemoveLoad();
        if (_wasOn)
            _removed ??= pump.GetTimestamp();
    }

    public override async Task<LoadStates> ReadStatesAsync(CancellationToken cancel)
    {
        var states = await base.ReadStatesAsync(cancel);
        return _removed is { } removed && pump.GetElapsedTime(removed) < Late
            ? states with
            {
                Outcome = CommandOutcome.Unknown,
            }
            : states;
    }
}
