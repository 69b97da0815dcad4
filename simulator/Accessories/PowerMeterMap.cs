using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Accessories;

/// <summary>A three-phase power meter whose 32-bit values come low word first.</summary>
/// <remarks>The unit's auxiliary output is single-phase in every world: phases 2 and 3 follow phase 1 without load.</remarks>
internal sealed class PowerMeterMap(Plant plant, AccessoryWorld world, Chance chance) : IRegisterMap
{
    public const float CheckValue = 230.25f;

    private const int MostPeriods = 100;

    private readonly ushort[] _input = new ushort[20];
    private readonly ushort[] _holding = [1];

    public int CoilCount => 0;
    public int DiscreteCount => 2;
    public int HoldingCount => _holding.Length;

    public ulong Coils() => 0;

    public ulong Discretes() => 0;

    public ReadOnlySpan<ushort> HoldingRegisters() => _holding;

    public bool WriteCoils(int address, int quantity, ulong values, long ticks) => false;

    public bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks)
    {
        if (words[0] is < 1 or > MostPeriods)
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
        ref readonly var state = ref plant.Look();
        Words.PutSwapped(_input, 0, CheckValue);
        Words.PutLowFirst(_input, 2, (uint)world.SerialNumber);
        var volts = AuxiliarySupply.Volts(plant.World, in state);
        for (var phase = 0; phase < 3; phase++)
        {
            Words.PutSwapped(_input, 4 + 2 * phase, volts * (1 + 2e-4 * chance.Normal()));
            Words.PutSwapped(_input, 10 + 2 * phase, phase == 0 ? state.AuxiliaryAmperes : 0);
        }

        Words.PutSwapped(_input, 16, volts * state.AuxiliaryAmperes);
        var hertz = state.Rpm * plant.World.Alternator.Poles / 120;
        // No governor holds a speed to the last digit of a float.
        Words.PutSwapped(_input, 18, hertz * (1 + 5e-5 * chance.Normal()));
        return _input;
    }
}
