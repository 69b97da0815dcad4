using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>A small load bank of its own for the auxiliary output: six elements, whole numbers in steps, a watchdog in tenths of a second.</summary>
/// <remarks>The engine does not feel it: its elements are 1 kW at most.</remarks>
internal sealed class AcBankMap(Plant plant, AccessoryWorld world, Chance chance) : IRegisterMap
{
    public const ushort CheckWord = 4321;

    private const int Elements = 6;
    private const int LongestWatchdog = 600;

    private static readonly double[] Ohms = [144, 144, 72, 72, 36, 36];

    private readonly ushort[] _input = new ushort[8];
    private readonly ushort[] _holding = [0];
    private uint _on;
    private long _fed;

    public int CoilCount => Elements;
    public int DiscreteCount => Elements + 2;
    public int HoldingCount => _holding.Length;

    public ulong Coils() => _on;

    // Contacts, then air flow (its fan follows the elements), then stop circuit healthy.
    public ulong Discretes() => _on | (_on != 0 ? 1UL : 0) << Elements | 1UL << (Elements + 1);

    public ReadOnlySpan<ushort> HoldingRegisters() => _holding;

    public bool WriteCoils(int address, int quantity, ulong values, long ticks)
    {
        var written = (uint)(ulong.MaxValue >> (64 - quantity) << address);
        _on = _on & ~written | (uint)(values << address);
        return true;
    }

    public bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks)
    {
        if (words[0] > LongestWatchdog)
        {
            return false;
        }

        _holding[0] = words[0];
        return true;
    }

    /// <summary>A request; when the one before it is too long ago, the watchdog has dropped the elements meanwhile.</summary>
    public void Fed(long ticks)
    {
        if (_holding[0] > 0 && ticks - _fed > _holding[0] * TimeSpan.TicksPerMillisecond * 100)
        {
            _on = 0;
        }

        _fed = ticks;
    }

    public bool SpendBusy() => false;

    public ReadOnlySpan<ushort> InputRegisters()
    {
        ref readonly var state = ref plant.Look();
        var volts = AuxiliarySupply.Volts(plant.World, in state) * (1 + 5e-4 * chance.Normal());
        var conductance = 0.0;
        for (var k = 0; k < Elements; k++)
        {
            conductance += (_on >> k & 1) == 1 ? 1 / Ohms[k] : 0;
        }

        _input[0] = CheckWord;
        Words.PutHighFirst(_input, 1, (uint)world.SerialNumber);
        _input[3] = Words.Steps(volts, 0.1);
        _input[4] = Words.Steps(volts * conductance, 0.01);
        _input[5] = Words.Steps(volts * volts * conductance, 1);
        _input[6] = Words.Steps(state.Rpm * plant.World.Alternator.Poles / 120, 0.01);
        _input[7] = Words.Steps(plant.World.AmbientCelsius + 20 * conductance, 0.1);
        return _input;
    }
}
