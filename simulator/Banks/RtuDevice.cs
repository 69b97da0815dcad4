using System.Buffers.Binary;
using System.Runtime.InteropServices;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>The bank with RTU framing: unit, request, checksum; silence ends what is not a frame.</summary>
/// <remarks>MODBUS over serial line V1.02, 2.5.1. Frames of the functions served are cut by their length, others by the gap.</remarks>
internal sealed class RtuDevice : ModbusDevice
{
    private const int LongestFrame = 256;
    private const byte Broadcast = 0;

    private readonly List<byte> _buffer = new(LongestFrame);
    private readonly ITimer _gap;
    private readonly TimeSpan _gapTime;
    private bool _isNoise;
    private long _lastByte;

    public RtuDevice(Plant plant, DeviceWires wires, IRegisterMap map, TimeProvider time)
        : base(plant, wires, map, time)
    {
        var bank = plant.World.Bank;
        CharacterTime = TimeSpan.FromTicks((long)(1e7 * bank.BitsPerCharacter / bank.Baud));
        _gapTime = TimeSpan.FromTicks((long)(bank.FrameGapMilliseconds * 10_000));
        _gap = time.CreateTimer(
            static device => ((RtuDevice)device!).Silence(),
            this,
            Timeout.InfiniteTimeSpan,
            Timeout.InfiniteTimeSpan
        );
    }

    public override void Receive(ReadOnlySpan<byte> bytes)
    {
        CatchUp();
        if (!Hears(bytes))
        {
            return;
        }

        if (Now - _lastByte > _gapTime.Ticks)
        {
            Silence();
        }

        _lastByte = Now;
        _buffer.AddRange(bytes);
        while (!_isNoise && TakeFrame()) { }
        if (_buffer.Count > LongestFrame)
        {
            _isNoise = true;
        }

        if (_buffer.Count > 0)
        {
            _gap.Change(_gapTime, Timeout.InfiniteTimeSpan);
        }
    }

    public override bool IsMidRequest => _buffer.Count > 0;

    public override void Connected()
    {
        base.Connected();
        _buffer.Clear();
        _isNoise = false;
    }

    protected override void Dispose(bool disposing)
    {
        _gap.Dispose();
        base.Dispose(disposing);
    }

    // True when a whole frame was taken from the front.
    private bool TakeFrame()
    {
        if (_buffer.Count < 8 || ExpectedLength() is not { } length || _buffer.Count < length)
        {
            return false;
        }

        Span<byte> frame = stackalloc byte[LongestFrame + 16];
        frame = frame[..length];
        CollectionsMarshal.AsSpan(_buffer)[..length].CopyTo(frame);
        if (!HasGoodChecksum(frame))
        {
            _isNoise = true;
            return false;
        }

        _buffer.RemoveRange(0, length);
        Handle(frame);
        return true;
    }

    // Length of the frame at the front; null when only silence can tell.
    private int? ExpectedLength() =>
        _buffer[1] switch
        {
            >= 1 and <= 6 => 8,
            15 or 16 when _buffer.Count > 6 => 9 + _buffer[6],
            _ => null,
        };

    private void Silence()
    {
        // What silence ends with a good checksum is a request, if an odd one: the server says what is wrong with it.
        if (!_isNoise && _buffer.Count is >= 4 and <= LongestFrame)
        {
            var frame = _buffer.ToArray();
            if (HasGoodChecksum(frame))
            {
                Handle(frame);
            }
        }

        _buffer.Clear();
        _isNoise = false;
    }

    private static bool HasGoodChecksum(ReadOnlySpan<byte> frame) =>
        Crc16.Of(frame[..^2]) == BinaryPrimitives.ReadUInt16LittleEndian(frame[^2..]);

    private void Handle(ReadOnlySpan<byte> frame)
    {
        if (frame[0] != UnitId && frame[0] != Broadcast)
        {
            return;
        }

        var arrival = FromArrival(CharacterTime * frame.Length);
        var reply = Obey(frame[1..^2], arrival);
        if (frame[0] == Broadcast)
        {
            return;
        }

        var answer = new byte[reply.Length + 3];
        answer[0] = AnswersAs;
        reply.CopyTo(answer.AsSpan(1));
        BinaryPrimitives.WriteUInt16LittleEndian(
            answer.AsSpan(answer.Length - 2),
            Crc16.Of(answer.AsSpan(0, answer.Length - 2))
        );
        var sending = CharacterTime * answer.Length;
        Send(answer, arrival + TurnAround + sending);
    }
}
