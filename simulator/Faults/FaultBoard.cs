using LoadTest.Simulator.Accessories;
using LoadTest.Simulator.Banks;
using LoadTest.Simulator.Lines;
using LoadTest.Simulator.Meters;
using LoadTest.Simulator.Physics;

namespace LoadTest.Simulator.Faults;

/// <summary>Puts faults where they strike, and takes all of them away again.</summary>
internal sealed class FaultBoard(
    Plant plant,
    Source source,
    BankMap bank,
    IReadOnlyList<IFaultyLine> wired,
    IReadOnlyList<MeterDevice> meters,
    TimeProvider time
) : IDisposable
{
    private static readonly Dictionary<string, LineTrouble> LineTroubles = new(StringComparer.Ordinal)
    {
        ["drop-request"] = LineTrouble.DropRequest,
        ["drop-reply"] = LineTrouble.Drop,
        ["late-reply"] = LineTrouble.Late,
        ["corrupt-reply"] = LineTrouble.Corrupt,
        ["duplicate-reply"] = LineTrouble.Duplicate,
        ["split-reply"] = LineTrouble.Split,
        ["drip-reply"] = LineTrouble.Drip,
        ["merge-replies"] = LineTrouble.Merge,
        ["echo"] = LineTrouble.Echo,
        ["garbage"] = LineTrouble.Garbage,
        ["wrong-unit"] = LineTrouble.WrongUnit,
        ["wrong-transaction"] = LineTrouble.WrongTransaction,
    };

    private const double LeastReset = 0.02;

    private readonly HashSet<IFaultyLine> _unplugged = [];
    private readonly List<ITimer> _timers = [];

    private Switches Set => plant.Set;

    /// <summary>Applies a fault; runs inside a change of the plant.</summary>
    public void Apply(Fault fault, long ticks)
    {
        var value = FaultCatalogue.ValueOf(fault);
        switch (FaultCatalogue.TargetOf(fault.Name))
        {
            case FaultTarget.Source:
                StrikeSource(fault.Name, value, ticks);
                break;
            case FaultTarget.Bank:
                StrikeBank(fault, ticks);
                break;
            case FaultTarget.Element:
                StrikeElement(fault, ticks);
                break;
            case FaultTarget.Device or FaultTarget.Modbus or FaultTarget.ModbusTcp:
                StrikeLine(fault, value, ticks);
                break;
            default:
                StrikeMeter(fault.Name, value, meters.Single(meter => meter.Name == fault.Device));
                break;
        }
    }

    /// <summary>Stops its timers.</summary>
    public void Dispose() => _timers.ForEach(timer => timer.Dispose());

    /// <summary>Every fault is gone; what it did (an engine stopped, an element dropped) stays done.</summary>
    public void Clear(long ticks)
    {
        Set.FeedbackOpen = Set.BuildUpLost = false;
        Set.UnitRatioError = source.HealthyRatioError;
        Set.RectifierShare = Set.Overvoltage = 1;
        Set.RippleShare = SourceModel.SixPulseRipple;
        Set.RippleMultiple = 6;
        Set.LugOhms = 0;
        source.SetDeadSpot(null);
        plant.Bank.FanFailed = plant.Bank.SensorHot = plant.Bank.WatchdogDead = false;
        plant.Bank.FailStop(pressed: false, ticks);
        plant.Bank.Contactors.Stick(0, 0, ticks);
        bank.ClearFaults();
        foreach (var device in wired)
        {
            PlugIn(device);
            device.Faults.Clear();
        }

        foreach (var meter in meters)
        {
            meter.Front.Faults.Clear();
        }
    }

    private void StrikeSource(string name, double value, long ticks)
    {
        switch (name)
        {
            case "feedback-lead-open":
                Set.FeedbackOpen = true;
                break;
            case "shunt-ratio-off":
                Set.UnitRatioError = value;
                break;
            case "diode-open":
                LoseRectifier(SourceModel.OneDiodeOpenMean, SourceModel.OneDiodeOpenRipple, 1);
                break;
            case "phase-lost":
                LoseRectifier(SourceModel.PhaseLostMean, SourceModel.PhaseLostRipple, 2);
                break;
            case "build-up-lost":
                Set.BuildUpLost = true;
                break;
            case "source-overvoltage":
                Set.Overvoltage = 1 + value / 100;
                break;
            case "control-dead-spot":
                source.SetDeadSpot(value / 100);
                break;
            case "loose-lug":
                Set.LugOhms = value * 1e-3;
                break;
            default:
                Stall(value, ticks);
                break;
        }
    }

    private void LoseRectifier(double mean, double ripple, int multiple)
    {
        Set.RectifierShare = mean;
        Set.RippleShare = ripple;
        Set.RippleMultiple = multiple;
    }

    private void Stall(double backAfterSeconds, long ticks)
    {
        var ran = Set.EngineOn;
        plant.Engine.Stall(Set);
        if (ran && backAfterSeconds > 0)
        {
            plant.Agenda.Add(ticks + (long)(backAfterSeconds * 1e7), () => Set.EngineOn |= plant.Engine.HasStalled);
        }
    }

    private void StrikeBank(Fault fault, long ticks)
    {
        var count = FaultCatalogue.CountOf(fault);
        switch (fault.Name)
        {
            case "watchdog-dead":
                plant.Bank.WatchdogDead = true;
                // Dead at once, also where it was about to act.
                plant.Bank.Fed(ticks);
                break;
            case "fan-failed":
                plant.Bank.FanFailed = true;
                break;
            case "over-temperature":
                plant.Bank.SensorHot = true;
                break;
            case "stop-button-pressed":
                plant.Bank.FailStop(pressed: true, ticks);
                break;
            case "write-ignored":
                bank.IgnoreWrites(count);
                break;
            default:
                bank.BeBusy(count);
                break;
        }
    }

    private void StrikeElement(Fault fault, long ticks)
    {
        var bit = 1u << (fault.Element ?? 0);
        var contactors = plant.Bank.Contactors;
        if (fault.Name == "element-stuck-closed")
        {
            contactors.Stick(contactors.Welded | bit, contactors.Dead & ~bit, ticks);
        }
        else
        {
            contactors.Stick(contactors.Welded & ~bit, contactors.Dead | bit, ticks);
        }
    }

    private void StrikeLine(Fault fault, double value, long ticks)
    {
        var line = wired.Single(one => one.Name == fault.Device);
        switch (fault.Name)
        {
            case "instrument-silent" or "half-open":
                line.Faults.Silent = true;
                HealLater(value, ticks, () => line.Faults.Silent = false);
                break;
            case "unplugged":
                Unplug(line, value, ticks);
                break;
            case "line-reset":
                // Refused for a moment at least: nobody connects again in no time.
                Unplug(line, Math.Max(value, LeastReset), ticks);
                break;
            case "slow-replies":
                line.Faults.Slowness = TimeSpan.FromTicks((long)(value * 10_000));
                break;
            default:
                line.Faults.Strike(
                    LineTroubles[fault.Name],
                    FaultCatalogue.CountOf(fault),
                    TimeSpan.FromTicks((long)(value * 10_000))
                );
                break;
        }
    }

    private void Unplug(IFaultyLine line, double backAfterSeconds, long ticks)
    {
        line.Faults.Silent = true;
        line.Plugged?.Invoke(false);
        _unplugged.Add(line);
        HealLater(backAfterSeconds, ticks, () => PlugIn(line));
    }

    private void PlugIn(IFaultyLine line)
    {
        if (!_unplugged.Remove(line))
        {
            return;
        }

        line.Faults.Silent = false;
        line.Plugged?.Invoke(true);
    }

    private void HealLater(double seconds, long ticks, Action heal)
    {
        if (seconds > 0)
        {
            plant.Agenda.Add(ticks + (long)(seconds * 1e7), heal);
            // Nobody may be left who speaks to the bench and so brings its time along.
            _timers.Add(
                time.CreateTimer(
                    _ => plant.CatchUp(),
                    null,
                    TimeSpan.FromSeconds(seconds) + TimeSpan.FromMilliseconds(1),
                    Timeout.InfiniteTimeSpan
                )
            );
        }
    }

    private static void StrikeMeter(string name, double value, MeterDevice meter)
    {
        var faults = meter.Front.Faults;
        switch (name)
        {
            case "meter-frozen":
                faults.Frozen = true;
                break;
            case "meter-overload":
                faults.Overload = true;
                break;
            case "meter-not-a-number":
                faults.NotANumber = true;
                break;
            case "meter-reversed":
                faults.Reversed = true;
                break;
            case "meter-scale-off":
                faults.Scale = value;
                break;
            default:
                meter.Restart();
                break;
        }
    }
}
