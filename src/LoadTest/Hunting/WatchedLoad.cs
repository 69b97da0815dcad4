using LoadTest.Analysis.Loads;
using LoadTest.Sequencer.Engine;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>The bank's port with the watch on it.</summary>
internal sealed class WatchedLoad(ILoad load, Watch watch) : ILoad
{
    public string Name => load.Name;

    public async Task<CommandResult> SwitchAsync(ElementSet elements, EnergisePermit permit, CancellationToken cancel)
    {
        var number = watch.Began($"Switching elements {elements}");
        try
        {
            return await load.SwitchAsync(elements, permit, cancel);
        }
        finally
        {
            watch.Ended(number);
        }
    }

    public async Task<LoadStates> ReadStatesAsync(CancellationToken cancel)
    {
        var number = watch.Began("A reading of the bank's states");
        try
        {
            var states = await load.ReadStatesAsync(cancel);
            watch.StatesRead(states);
            return states;
        }
        finally
        {
            watch.Ended(number);
        }
    }

    public async Task<CommandResult> SetFanAsync(bool isOn, CancellationToken cancel)
    {
        var number = watch.Began("A command to the fan");
        try
        {
            return await load.SetFanAsync(isOn, cancel);
        }
        finally
        {
            watch.Ended(number);
        }
    }

    public void RemoveLoad()
    {
        watch.RemoveCalled();
        load.RemoveLoad();
        watch.After();
    }

    public AllOffCounts AllOff => load.AllOff;
}
