using System.Text;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>A device on a text protocol: a line in, a line out.</summary>
internal sealed class TextDevice : SimulatedDevice, IFaultyLine
{
    private const int LongestLine = 200;

    private readonly Plant _plant;
    private readonly ITextServer _server;
    private readonly TextFrame _frame;
    private readonly Outbox _outbox;
    private readonly TimeSpan _turnAround;
    private readonly StringBuilder _line = new();
    private int _heard;

    public TextDevice(Plant plant, string name, TextFrame frame, ITextServer server, TextTiming timing)
        : base(name, "text", 0)
    {
        _plant = plant;
        _server = server;
        _frame = frame;
        _outbox = new Outbox(timing.Time, bytes => Answer?.Invoke(bytes));
        _turnAround = TimeSpan.FromTicks((long)(timing.TurnAroundMilliseconds * 10_000));
    }

    public LineFaults Faults { get; } = new();

    public override void Receive(ReadOnlySpan<byte> bytes)
    {
        _plant.CatchUp();
        if (!Faults.Hears(bytes, _outbox))
        {
            return;
        }

        if (_frame.HasEcho)
        {
            _outbox.Send(bytes.ToArray(), TimeSpan.Zero);
        }

        _heard = bytes.Length;
        foreach (var b in bytes)
        {
            _line.Append((char)b);
            if (_line.Length > LongestLine)
            {
                _line.Clear();
            }

            if (EndsWith(_frame.SentEnd))
            {
                var line = _line.ToString(0, _line.Length - _frame.SentEnd.Length);
                _line.Clear();
                Handle(line);
            }
        }
    }

    public override bool IsMidRequest => _line.Length > 0;

    public override void Connected()
    {
        _line.Clear();
        _outbox.Clear();
    }

    protected override void Dispose(bool disposing) => _outbox.Dispose();

    private bool EndsWith(string end)
    {
        for (var k = 0; k < end.Length; k++)
        {
            if (_line.Length < end.Length || _line[_line.Length - end.Length + k] != end[k])
            {
                return false;
            }
        }

        return true;
    }

    // A line with a wrong check is noise: nobody can say whose it was.
    private void Handle(string received)
    {
        if (_frame.Unchecked(received) is { } line && _server.Answer(line, _plant.Ticks) is { } answer)
        {
            var text = _frame.Checked(answer) + _frame.ReplyEnd;
            var after = FromArrival(_turnAround + CharacterTime * (_heard + text.Length));
            Faults.Send(_outbox, Encoding.Latin1.GetBytes(text), after);
            _heard = 0;
        }
    }
}

/// <summary>When a device on a text protocol answers.</summary>
/// <param name="Time">Where its timers come from.</param>
/// <param name="TurnAroundMilliseconds">Time between the end of a line and the answer, ms.</param>
internal sealed record TextTiming(TimeProvider Time, double TurnAroundMilliseconds);
