using LoadTest.Records.Journaling;
using LoadTest.Sequencer.Engine;

namespace LoadTest.SystemTests.Running;

/// <summary>A disk in virtual time whose n-th write or sync fails; everything after it is counted, for nothing may come.</summary>
/// <param name="pump">The pump.</param>
/// <param name="failing">Number of the round that fails, from 1; 0 for none.</param>
/// <param name="failsInWrite">Whether the write fails, leaving half of its bytes; otherwise the sync after a whole write.</param>
internal sealed class FailingStorage(Pump pump, int failing, bool failsInWrite) : IJournalStorage
{
    private static readonly TimeSpan SyncTime = TimeSpan.FromMilliseconds(3);
    private readonly MemoryStream _file = new();
    private readonly MemoryStream _gathering = new();
    private long _count;
    private bool _isBusy;
    private bool _isWanted;

    public Action<long, IOException?>? Synced { get; set; }

    /// <summary>Rounds of one write and one sync so far.</summary>
    public int Rounds { get; private set; }

    /// <summary>Whether it failed.</summary>
    public bool HasFailed { get; private set; }

    /// <summary>Calls after the failure, which there must not be.</summary>
    public int Later { get; private set; }

    /// <summary>What is in the file.</summary>
    public byte[] Bytes => _file.ToArray();

    public void Append(ReadOnlySpan<byte> frame)
    {
        Later += HasFailed ? 1 : 0;
        _gathering.Write(frame);
        _count++;
        // Group sync: whoever waits for nobody is written a tenth of a second later.
        _ = LaterAsync();
    }

    public void RequestSync()
    {
        Later += HasFailed ? 1 : 0;
        _isWanted = true;
        _ = RoundAsync();
    }

    public void Dispose()
    {
        if (!HasFailed)
            _file.Write(_gathering.ToArray());
        _gathering.SetLength(0);
    }

    private async Task LaterAsync()
    {
        await Task.Delay(JournalWriter.LongestExposure, pump);
        await RoundAsync();
    }

    private async Task RoundAsync()
    {
        if (_isBusy || HasFailed || _gathering.Length == 0)
            return;
        (_isBusy, _isWanted) = (true, false);
        var (batch, count) = (_gathering.ToArray(), _count);
        _gathering.SetLength(0);
        Rounds++;
        var fails = Rounds == failing;
        _file.Write(batch.AsSpan(0, fails && failsInWrite ? batch.Length / 2 : batch.Length));
        await Task.Delay(SyncTime, pump);
        _isBusy = false;
        HasFailed |= fails;
        Synced?.Invoke(
            count,
            fails ? new IOException(failsInWrite ? "No space left on device." : "Input/output error.") : null
        );
        if (_isWanted)
            await RoundAsync();
    }
}
