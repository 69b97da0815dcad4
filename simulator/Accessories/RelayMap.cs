using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>Two relays and an analogue output; the first relay is in series with the unit's output switch.</summary>
/// <remarks>The analogue output moves nothing in the simulated unit: its control is turned by hands.</remarks>
internal sealed class RelayMap : IRegisterMap
{
    public const ushort CheckWord = 21075;

    private const int MostMillivolts = 10_000;
    private const int Relays = 2;

    private readonly Plant _plant;
    private readonly AccessoryWorld _world;
    private readonly ushort[] _input = new ushort[4];
    private readonly ushort[] _holding = [0];
    private uint _closed;

    public RelayMap(Plant plant, AccessoryWorld world)
    {
        _plant = plant;
        _world = world;
        plant.Change(_ => plant.Set.HeldOff = true);
    }

    public int CoilCount => Relays;
    public int DiscreteCount => Relays + 1;
    public int HoldingCount => _holding.Length;

    public ulong Coils() => _closed;

    // Contacts, then overload of the analogue output.
    public ulong Discretes() => _closed;

    public ReadOnlySpan<ushort> HoldingRegisters() => _holding;

    public bool WriteCoils(int address, int quantity, ulong values, long ticks)
    {
        var written = (uint)(ulong.MaxValue >> (64 - quantity) << address);
        _closed = _closed & ~written | (uint)(values << address);
        _plant.Change(_ => _plant.Set.HeldOff = (_closed & 1) == 0);
        return true;
    }

    public bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks)
    {
        if (words[0] > MostMillivolts)
        {
            return false;
        }

        _holding[0] = words[0];
        return true;
    }

    public void Fed(long ticks) { }

    public bool SpendBusy() => false;

    public ReadOnlySpan<ushort> InputRegisters()
    {
        _input[0] = CheckWord;
        Words.PutHighFirst(_input, 1, (uint)_world.SerialNumber);
        _input[3] = (ushort)(_holding[0] + (_holding[0] > 0 ? 2 : 0));
        return _input;
    }
}
