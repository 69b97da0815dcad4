using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using LoadTest.Simulator.Lines;

namespace LoadTest.Simulator.Panel;

/// <summary>The hands at the machine on a wire: a line in, a line out, after the start secret.</summary>
internal sealed class HandsDevice : SimulatedDevice
{
    /// <summary>Name of this device on every bench.</summary>
    public const string DeviceName = "hands";

    private const int LongestLine = 256;
    private static readonly TimeSpan TurnAround = TimeSpan.FromMilliseconds(1);

    private readonly HandsCommands _commands;
    private readonly Outbox _outbox;
    private readonly byte[]? _secret;
    private readonly StringBuilder _line = new();
    private bool _isOpen;

    public HandsDevice(SimulatedBench bench, TimeProvider time, string? startSecret)
        : base(DeviceName, "panel", 0)
    {
        _commands = new HandsCommands(bench);
        _outbox = new Outbox(time, bytes => Answer?.Invoke(bytes));
        _secret = startSecret is null ? null : Encoding.ASCII.GetBytes(startSecret.ToLowerInvariant());
    }

    public override void Receive(ReadOnlySpan<byte> bytes)
    {
        foreach (var b in bytes)
        {
            if (b == (byte)'\n')
            {
                var line = _line.ToString().Trim();
                _line.Clear();
                Reply(Obey(line));
            }
            else if (_line.Length <= LongestLine)
            {
                _line.Append((char)b);
            }
        }
    }

    public override bool IsMidRequest => _line.Length > 0;

    public override void Connected()
    {
        _line.Clear();
        _isOpen = false;
        _outbox.Clear();
    }

    protected override void Dispose(bool disposing) => _outbox.Dispose();

    private string Obey(string line)
    {
        if (line.Length > LongestLine)
        {
            return $"no: a line has at most {LongestLine.ToString(CultureInfo.InvariantCulture)} characters.";
        }

        if (!_isOpen || line.StartsWith("secret ", StringComparison.Ordinal))
        {
            return Open(line);
        }

        return _commands.Obey(line);
    }

    private string Open(string line)
    {
        if (_secret is null)
        {
            return "no: this bench was started without a secret, so its hands cannot be used over a line.";
        }

        _isOpen =
            line.StartsWith("secret ", StringComparison.Ordinal)
            && CryptographicOperations.FixedTimeEquals(
                Encoding.ASCII.GetBytes(line["secret ".Length..].Trim().ToLowerInvariant()),
                _secret
            );
        return _isOpen ? "ok" : "no: the first line has to be 'secret' and the secret of this start.";
    }

    private void Reply(string text) => _outbox.Send(Encoding.UTF8.GetBytes(text + "\n"), TurnAround);
}
