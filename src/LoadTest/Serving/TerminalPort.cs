using LoadTest.Sequencer.Benches;
using LoadTest.Sequencer.Engine;
using LoadTest.Simulator;

namespace LoadTest.Serving;

/// <summary>One simulated device on a pseudo-terminal, at the pace of its serial line; the plug can be pulled.</summary>
internal sealed class TerminalPort : IServedPort
{
    private readonly SimulatedDevice _device;
    private readonly Pump _pump;
    private readonly string _link;
    private readonly LineText.Serial _setting;
    private readonly Action<string, bool, ReadOnlyMemory<byte>>? _trace;
    private readonly TimeSpan _lateness;
    private PseudoTerminal? _terminal;

    /// <summary>Serves at once.</summary>
    /// <param name="device">The device.</param>
    /// <param name="pump">The pump it lives on.</param>
    /// <param name="link">Path of the link to the terminal.</param>
    /// <param name="setting">Baud rate and character format.</param>
    /// <param name="trace">Told of everything that passes; null for nobody.</param>
    /// <exception cref="IOException">The system gives no terminal.</exception>
    public TerminalPort(
        SimulatedDevice device,
        Pump pump,
        string link,
        LineText.Serial setting,
        Action<string, bool, ReadOnlyMemory<byte>>? trace
    )
    {
        (_device, _pump, _link, _setting, _trace) = (device, pump, link, setting, trace);
        // Before anybody waits for an answer.
        _lateness = PseudoTerminal.Lateness;
        device.CharacterTime = setting.TimeOf(1);
        device.Answer = Answer;
        device.Plugged = isIn =>
        {
            if (isIn)
                Plug();
            else
                Pull();
        };
        Plug();
    }

    /// <inheritdoc/>
    public LineText Line => _setting with { Port = _link };

    /// <inheritdoc/>
    public int Clients => 0;

    /// <inheritdoc/>
    public string Ends => TerminalIdentity.Of(_link) ?? "";

    /// <inheritdoc/>
    public void Answer(ReadOnlyMemory<byte> bytes)
    {
        _trace?.Invoke(_device.Name, false, bytes);
        _terminal?.Send(bytes.Span);
    }

    /// <summary>Pulls the plug: whoever has the line finds it hung up, and its name gone.</summary>
    public void Pull()
    {
        _terminal?.Dispose();
        _terminal = null;
    }

    /// <summary>Plugs in, under the same name and perhaps at another terminal.</summary>
    public void Plug()
    {
        if (_terminal is not null)
            return;
        _device.Connected();
        _terminal = new PseudoTerminal(
            _link,
            bytes =>
            {
                var at = _pump.GetTimestamp();
                _pump.Post(() => Received(bytes, at));
            }
        );
    }

    /// <inheritdoc/>
    public void Dispose() => Pull();

    private void Received(byte[] bytes, long at)
    {
        _trace?.Invoke(_device.Name, true, bytes);
        _device.Late = _pump.GetElapsedTime(at) + _lateness;
        _device.Receive(bytes);
    }
}
