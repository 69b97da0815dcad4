using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Parameters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>Registers of a logger: identity as the bank's, then one float32 for each channel.</summary>
internal sealed class LoggerMap : IRegisterMap
{
    public const ushort Identity = 0x4C55;
    public const ushort Revision = 1;
    public const int FirstChannel = 8;

    /// <summary>What a logger can sense.</summary>
    public static readonly string[] Senses =
    [
        "winding temperature",
        "lug temperature",
        "reference shunt temperature",
        "air temperature",
        "auxiliary volts",
        "auxiliary amperes",
        "auxiliary hertz",
        "auxiliary watts",
    ];

    private readonly Plant _plant;
    private readonly LoggerWorld _world;
    private readonly Chance _chance;
    private readonly ushort[] _input;

    public LoggerMap(Plant plant, LoggerWorld world, Chance chance)
    {
        _plant = plant;
        _world = world;
        _chance = chance;
        _input = new ushort[FirstChannel + 2 * world.Channels.Length];
    }

    public int CoilCount => 0;
    public int DiscreteCount => 0;
    public int HoldingCount => 0;

    public ulong Coils() => 0;

    public ulong Discretes() => 0;

    public ReadOnlySpan<ushort> HoldingRegisters() => [];

    public bool WriteCoils(int address, int quantity, ulong values, long ticks) => false;

    public bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks) => false;

    public void Fed(long ticks) { }

    public bool SpendBusy() => false;

    public ReadOnlySpan<ushort> InputRegisters()
    {
        ref readonly var state = ref _plant.Look();
        _input[0] = Identity;
        _input[1] = Revision;
        PutFloat(2, BankMap.CheckValue);
        PutLong(4, (uint)_world.SerialNumber);
        _input[6] = (ushort)_world.Channels.Length;
        for (var k = 0; k < _world.Channels.Length; k++)
        {
            var channel = _world.Channels[k];
            var value = Sensed(channel.Senses, in state);
            PutFloat(
                FirstChannel + 2 * k,
                value * (1 + channel.ErrorPercent / 100) + channel.Offset + channel.Noise * _chance.Normal()
            );
        }

        return _input;
    }

    private double Sensed(string what, in PlantState state)
    {
        var ambient = _plant.World.AmbientCelsius;
        return what switch
        {
            "winding temperature" => ambient + state.WindingRise,
            "lug temperature" => ambient + state.LugRise,
            "reference shunt temperature" => ambient + state.ReferenceShuntRise,
            "auxiliary volts" => state.AuxiliaryVolts,
            "auxiliary amperes" => state.AuxiliaryAmperes,
            "auxiliary hertz" => state.Rpm * _plant.World.Alternator.Poles / 120,
            "auxiliary watts" => state.AuxiliaryVolts * state.AuxiliaryAmperes,
            _ => ambient,
        };
    }

    private void PutFloat(int register, double value) =>
        PutLong(register, BitConverter.SingleToUInt32Bits((float)value));

    private void PutLong(int register, uint value)
    {
        _input[register] = (ushort)(value >> 16);
        _input[register + 1] = (ushort)(value & 0xFFFF);
    }
}
