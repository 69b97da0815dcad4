using LoadTest.Simulator.Arithmetic;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Banks;

/// <summary>The bank's coils and registers, as simulator/README.md lists them.</summary>
internal sealed class BankMap(Plant plant, Chance chance) : IRegisterMap
{
    public const int HoldingCount = 2;
    public const int InputCount = 19;
    public const ushort Identity = 0x4C54;
    public const ushort Revision = 1;
    public const float CheckValue = 1234.5f;

    private const int LongestWatchdog = 600;
    private const int LongestRunOn = 3600;
    private const ulong One = 1;

    private readonly ushort[] _input = new ushort[InputCount];
    private readonly ushort[] _holding = new ushort[HoldingCount];
    private int _busy;
    private int _ignored;

    /// <summary>The last command that wrote element coils; null before the first.</summary>
    public LoadCommand? LastLoadCommand { get; private set; }

    /// <summary>DC elements, then AC elements.</summary>
    public int Elements => plant.ElementOhms.Length + plant.AuxiliaryOhms.Length;
    public int CoilCount => Elements + 1;
    public int DiscreteCount => Elements + 4;

    int IRegisterMap.HoldingCount => HoldingCount;

    private BankControl Control => plant.Bank;

    public void Fed(long ticks) => Control.Fed(ticks);

    public void BeBusy(int count) => _busy = LineFaults.Lasting(count);

    public void IgnoreWrites(int count) => _ignored = LineFaults.Lasting(count);

    public void ClearFaults() => _busy = _ignored = 0;

    public bool SpendBusy() => LineFaults.Spend(ref _busy);

    public ulong Coils() => Control.Contactors.Commanded | (Control.FanCommanded ? One << Elements : 0);

    public ulong Discretes()
    {
        var conditions =
            (Control.AirFlowPresent ? 1UL : 0)
            | (Control.OverTemperature ? 2UL : 0)
            | (StopHealthy ? 4UL : 0)
            | (Control.DroppedByWatchdog ? 8UL : 0);
        return Control.Contactors.Closed | conditions << Elements;
    }

    public ReadOnlySpan<ushort> HoldingRegisters()
    {
        _holding[0] = (ushort)Control.WatchdogSeconds;
        _holding[1] = (ushort)Control.FanRunOnSeconds;
        return _holding;
    }

    public ReadOnlySpan<ushort> InputRegisters()
    {
        ref readonly var state = ref plant.Look();
        var bank = plant.World.Bank;
        _input[0] = Identity;
        _input[1] = Revision;
        PutFloat(2, CheckValue);
        PutLong(4, (uint)bank.SerialNumber);
        _input[6] = (ushort)Elements;
        _input[7] = Status();
        PutFloat(8, Indicated(state.BankVolts, bank.VoltsErrorPercent));
        PutFloat(10, Indicated(state.Amperes, bank.AmperesErrorPercent));
        PutFloat(12, Control.OutletCelsius(in state));
        _input[14] = (ushort)(bank.FanRpm * state.AirFlow);
        PutLong(15, Control.Contactors.Commanded);
        PutLong(17, Control.Contactors.Closed);
        return _input;
    }

    /// <summary>Obeys a write of coils; false when something forbids closing a contactor.</summary>
    public bool WriteCoils(int address, int quantity, ulong values, long ticks)
    {
        var written = ulong.MaxValue >> (64 - quantity) << address;
        var wanted = Coils() & ~written | values << address;
        var elements = (uint)(wanted & Control.Contactors.All);
        var writesElements = (written & Control.Contactors.All) != 0;
        if (writesElements)
        {
            LastLoadCommand = new(TimeSpan.FromTicks(ticks), elements);
        }

        if (LineFaults.Spend(ref _ignored))
        {
            return true;
        }

        if (!Control.MayClose && (elements & ~Control.Contactors.Commanded) != 0)
        {
            return false;
        }

        var fan = (wanted >> Elements & 1) != 0;
        plant.Change(now =>
        {
            if (writesElements)
            {
                Control.CommandElements(elements, Math.Max(now, ticks));
            }

            if ((written >> Elements & 1) != 0)
            {
                Control.CommandFan(fan, now);
            }
        });
        return true;
    }

    /// <summary>Obeys a write of holding registers; false when a value is not allowed, and then nothing is written.</summary>
    public bool WriteHolding(int address, ReadOnlySpan<ushort> words, long ticks)
    {
        for (var i = 0; i < words.Length; i++)
        {
            if (words[i] > (address + i == 0 ? LongestWatchdog : LongestRunOn))
            {
                return false;
            }
        }

        if (LineFaults.Spend(ref _ignored))
        {
            return true;
        }

        for (var i = 0; i < words.Length; i++)
        {
            if (address + i == 0)
            {
                Control.SetWatchdog(words[i], ticks);
            }
            else
            {
                Control.FanRunOnSeconds = words[i];
            }
        }

        return true;
    }

    private bool StopHealthy => !Control.StopPressed && !Control.StopFault;

    private ushort Status()
    {
        var status =
            (Control.AirFlowPresent ? 1 : 0)
            | (Control.OverTemperature ? 2 : 0)
            | (StopHealthy ? 4 : 0)
            | (Control.DroppedByWatchdog ? 8 : 0)
            | (Control.DroppedByProtection ? 16 : 0)
            | (plant.Set.FanTurning ? 32 : 0);
        return (ushort)status;
    }

    private double Indicated(double value, double errorPercent) =>
        value * (1 + errorPercent / 100)
        + chance.Normal() * plant.World.Bank.NoisePercent / 100 * (Math.Abs(value) + 1);

    private void PutFloat(int register, double value) =>
        PutLong(register, BitConverter.SingleToUInt32Bits((float)value));

    private void PutLong(int register, uint value)
    {
        _input[register] = (ushort)(value >> 16);
        _input[register + 1] = (ushort)(value & 0xFFFF);
    }
}
