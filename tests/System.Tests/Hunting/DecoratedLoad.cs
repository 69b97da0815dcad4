using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.SystemTests.Hunting;

/// <summary>A bank with something in front of its port; by itself it changes nothing.</summary>
internal abstract class DecoratedLoad(ILoad load) : ILoad
{
    protected ILoad Inner => load;

    public string Name => load.Name;

    public virtual Task<CommandResult> SwitchAsync(
        ElementSet elements,
        EnergisePermit permit,
        CancellationToken cancel
    ) => load.SwitchAsync(elements, permit, cancel);

    public virtual Task<LoadStates> ReadStatesAsync(CancellationToken cancel) => load.ReadStatesAsync(cancel);

    public Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel) => load.SetFanAsync(isOn, cancel);

    public virtual void RemoveLoad() => load.RemoveLoad();

    public AllOffCounts AllOff => load.AllOff;
}
