using System.Text;
using LoadTest.Simulator.Accessories;
using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Meters;

/// <summary>A multimeter on a wire: messages in, answers out, one after the other.</summary>
internal sealed class MeterDevice : SimulatedDevice, IFaultyLine
{
    private const int LongestMessage = 1024;

    private readonly Plant _plant;
    private readonly MeterInterpreter _interpreter;
    private readonly Outbox _outbox;
    private readonly ITimer _aperture;
    private readonly TimeSpan _turnAround;
    private readonly StringBuilder _line = new();
    private readonly Queue<string> _messages = new();
    private readonly List<string> _answers = [];
    private List<ScpiUnit>? _units;
    private int _next;
    private bool _overrun;
    private int _heard;

    public MeterDevice(Plant plant, MeterWorld world, TimeProvider time, ulong seed)
        : base(world.Name, "scpi", 0)
    {
        _plant = plant;
        Front = new MeterFront(plant, world, new Chance(seed, world.Name));
        _interpreter = new MeterInterpreter(world.Identity, Front, BeginReading);
        _outbox = new Outbox(time, bytes => Answer?.Invoke(bytes));
        _turnAround = TimeSpan.FromTicks((long)(world.TurnAroundMilliseconds * 10_000));
        _aperture = time.CreateTimer(
            static device => ((MeterDevice)device!).EndReading(),
            this,
            Timeout.InfiniteTimeSpan,
            Timeout.InfiniteTimeSpan
        );
    }

    public MeterFront Front { get; }

    public LineFaults Faults { get; } = new();

    public override void Receive(ReadOnlySpan<byte> bytes)
    {
        _plant.CatchUp();
        if (!Faults.Hears(bytes, _outbox))
        {
            return;
        }

        _heard = bytes.Length;
        foreach (var b in bytes)
        {
            if (b != (byte)'\n')
            {
                Keep(b);
                continue;
            }

            if (_overrun)
            {
                _interpreter.Status.Report(ScpiError.InputOverrun);
            }
            else
            {
                _messages.Enqueue(_line.ToString());
            }

            _line.Clear();
            _overrun = false;
        }

        Work();
    }

    public override bool IsMidRequest => _line.Length > 0 || _overrun;

    public override void Connected()
    {
        _line.Clear();
        _overrun = false;
        _messages.Clear();
        _answers.Clear();
        _units = null;
        _outbox.Clear();
        _interpreter.BeginMessage();
    }

    /// <summary>Power was gone for a moment.</summary>
    public void Restart()
    {
        Connected();
        _interpreter.IsMeasuring = false;
        _aperture.Change(Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        _interpreter.Restart();
    }

    protected override void Dispose(bool disposing)
    {
        _aperture.Dispose();
        _outbox.Dispose();
    }

    private void Keep(byte b)
    {
        if (_line.Length == LongestMessage)
        {
            _overrun = true;
        }
        else if (b != (byte)'\r')
        {
            _line.Append((char)b);
        }
    }

    private void Work()
    {
        while (true)
        {
            if (_units is null)
            {
                if (!_messages.TryDequeue(out var message))
                {
                    return;
                }

                _units = ScpiUnit.Parse(message);
                _next = 0;
                _interpreter.BeginMessage();
            }

            while (_next < _units.Count)
            {
                if (!_interpreter.Obey(_units[_next], _answers))
                {
                    return;
                }

                _next++;
            }

            _units = null;
            Reply();
        }
    }

    private void Reply()
    {
        if (_answers.Count == 0)
        {
            return;
        }

        var text = string.Join(';', _answers) + "\n";
        _answers.Clear();
        var after = FromArrival(_turnAround + CharacterTime * (_heard + text.Length));
        Faults.Send(_outbox, Encoding.ASCII.GetBytes(text), after);
        _heard = 0;
    }

    private void BeginReading()
    {
        _interpreter.IsMeasuring = true;
        _aperture.Change(Front.Begin(), Timeout.InfiniteTimeSpan);
    }

    private void EndReading()
    {
        if (!_interpreter.IsMeasuring)
        {
            return;
        }

        _interpreter.IsMeasuring = false;
        Front.Finish();
        _interpreter.Status.SetVoltageQuestionable(Front.IsOverRange);
        Work();
    }
}
