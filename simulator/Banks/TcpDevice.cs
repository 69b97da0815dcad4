using System.Buffers.Binary;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>A Modbus device with TCP framing: transaction, protocol 0, length, unit, request.</summary>
/// <remarks>MODBUS messaging on TCP/IP V1.0b, 3.1.3.</remarks>
internal sealed class TcpDevice(Plant plant, DeviceWires wires, IRegisterMap map, TimeProvider time)
    : ModbusDevice(plant, wires, map, time)
{
    private const int HeaderLength = 7;
    private const int LongestFrame = 260;

    private readonly byte[] _buffer = new byte[LongestFrame];
    private int _filled;

    // The stream has lost its framing: nothing more is understood on this connection.
    private bool _isLost;

    public override void Receive(ReadOnlySpan<byte> bytes)
    {
        CatchUp();
        if (!Hears(bytes))
        {
            return;
        }

        foreach (var b in bytes)
        {
            if (_isLost || Faults.Silent)
            {
                return;
            }

            _buffer[_filled++] = b;
            if (_filled >= HeaderLength)
            {
                TakeFrame();
            }
        }
    }

    public override bool IsMidRequest => _filled > 0 || _isLost;

    public override void Connected()
    {
        base.Connected();
        _filled = 0;
        _isLost = false;
    }

    private void TakeFrame()
    {
        var protocol = BinaryPrimitives.ReadUInt16BigEndian(_buffer.AsSpan(2));
        var length = BinaryPrimitives.ReadUInt16BigEndian(_buffer.AsSpan(4));
        if (protocol != 0 || length is < 2 or > LongestFrame - 6)
        {
            _isLost = true;
            return;
        }

        if (_filled < 6 + length)
        {
            return;
        }

        _filled = 0;
        if (_buffer[6] != UnitId)
        {
            return;
        }

        var reply = Obey(_buffer.AsSpan(HeaderLength, length - 1), TimeSpan.Zero);
        var answer = new byte[HeaderLength + reply.Length];
        _buffer.AsSpan(0, 4).CopyTo(answer);
        BinaryPrimitives.WriteUInt16BigEndian(answer.AsSpan(4), (ushort)(reply.Length + 1));
        answer[6] = AnswersAs;
        if (Faults.Takes(LineTrouble.WrongTransaction))
        {
            // Far from any number in use: one about to be used would be a lie nobody can see through.
            answer[0] ^= 0x80;
        }

        reply.CopyTo(answer.AsSpan(HeaderLength));
        Send(answer, TurnAround);
    }
}
