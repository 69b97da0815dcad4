using System.Collections.Immutable;
using LoadTest.Sequencer.Ports;

namespace LoadTest.Hunting;

/// <summary>An instrument's port with the watch on it.</summary>
internal sealed class WatchedMeter(IMeter meter, Watch watch) : IMeter
{
    public string Name => meter.Name;

    public Task<IdentityReply> IdentifyAsync(CancellationToken cancel) => meter.IdentifyAsync(cancel);

    public Task<CommandResult> ConfigureAsync(CancellationToken cancel) => meter.ConfigureAsync(cancel);

    public async Task<ImmutableArray<Indication>> ReadAsync(ImmutableArray<string> inputs, CancellationToken cancel)
    {
        var number = watch.Began($"A reading of {Name}");
        try
        {
            var indications = await meter.ReadAsync(inputs, cancel);
            watch.Read(Name, inputs, indications);
            return indications;
        }
        finally
        {
            watch.Ended(number);
        }
    }
}
